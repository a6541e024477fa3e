// Opens pages whose texts try to be something else, and tells what became of them: the text a person reads, the elements
// that were made, and whatever was asked for, run or shown that should not have been.
//
// Takes `{files, time}`; writes one line of JSON for each file.
import { question, withBrowser } from "./browser.mjs";

const { files, time } = await question();
await withBrowser(async (browser) => {
  const context = await browser.newContext({ viewport: { width: 820, height: 1180 } });
  for (const file of files) {
    const page = await context.newPage();
    const wrong = [];
    page.on("request", (request) => request.url().startsWith("file://") || wrong.push(`asked for ${request.url()}`));
    page.on("dialog", (dialog) => { wrong.push(`a dialog: ${dialog.message()}`); dialog.dismiss(); });
    page.on("popup", () => wrong.push("a new window"));
    page.on("pageerror", (error) => wrong.push(String(error)));
    page.on("console", (message) => message.type() === "error" && wrong.push(message.text()));
    await page.clock.install({ time: new Date(time) });
    await page.goto(`file://${file}`);
    const seen = await page.evaluate(() => ({
      title: document.title,
      // Also what is folded away; the page's own program and data are no text for people.
      text: [...document.querySelectorAll("body *:not(script, style, noscript)")]
        .flatMap((one) => [...one.childNodes].filter((child) => child.nodeType === Node.TEXT_NODE).map((child) => child.data)).join(""),
      elements: [...new Set([...document.querySelectorAll("*")].map((one) => one.localName))],
      handlers: [...document.querySelectorAll("*")].flatMap((one) => one.getAttributeNames().filter((name) => name.startsWith("on"))),
      links: [...document.querySelectorAll("[href], [src], [action]")].map((one) => one.getAttribute("href") || one.getAttribute("src") || one.getAttribute("action")),
      mark: typeof globalThis.mark,
    }));
    if (seen.mark !== "undefined") wrong.push("a script of a text was run");
    // The page's own links stay on it.
    wrong.push(...seen.links.filter((link) => !link.startsWith("#")).map((link) => `a link to ${link}`));
    wrong.push(...seen.handlers.map((name) => `an attribute ${name}`));
    process.stdout.write(`${JSON.stringify({ file, wrong, ...seen })}\n`);
    await page.close();
  }
});
