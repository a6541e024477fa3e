// What the page makes of cases: for each file and its cases one line with the answers, verdicts and sentences.
import { open, question, withBrowser } from "./browser.mjs";

await withBrowser(async (browser) => {
  for (const { file, cases } of await question()) {
    const page = await open(browser, file);
    const said = await page.evaluate((all) => {
      const steps = new Map(JSON.parse(document.getElementById("data").textContent).steps.map((step) => [step.place, step]));
      return all.map(({ place, typed }) => {
        const step = steps.get(place);
        const { answer, unclear } = judge.answer(step, typed);
        return unclear === undefined ? { answer, said: judge.say(step, answer) } : { unclear };
      });
    }, cases);
    page.quiet();
    console.log(JSON.stringify(said));
  }
});
