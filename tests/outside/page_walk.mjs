// People at the page: each walk opens it, does a check in one way, and saves its records into a folder.
//
// Takes `{walk, file, folder}`; writes what it counted as one line of JSON. Whatever is not as it must be ends the walk.
import { look, must, open, question, withBrowser } from "./browser.mjs";
import path from "node:path";

const MORNING = "2026-11-25T06:40:00+01:00";
const NUMBERS = { "spare-oxygen-cylinder": "1250", "pipeline-pressure": "51", "hypoxic-guard": "27", "oxygen-monitor-air": "21", "oxygen-monitor-flush": "98" };
const NASTY = `</script><b>"quoted"</b> \u202eturned\u202c it's: #no & 'so' 🫁 \\ tab\there`;

// How often each page was asked for its step.
const looks = new Map();

const data = (page) => page.evaluate(() => JSON.parse(document.getElementById("data").textContent));
const current = (page) => page.evaluate(() => (document.querySelector(".card.current") || { dataset: {} }).dataset.place);
const focused = (page) => page.evaluate(() => (document.activeElement === document.body ? "" : document.activeElement.textContent.trim()));

/** Counts what a person presses. */
function hands(page) {
  const count = { keys: 0, taps: 0, signs: 0 };
  return {
    count,
    async key(name) {
      count.keys += 1;
      await page.keyboard.press(name);
    },
    async type(text) {
      count.signs += text.length;
      await page.keyboard.type(text);
    },
    async tap(target) {
      count.taps += 1;
      await target.tap();
    },
    /** Presses Tab until something with these words has the focus. */
    async tabTo(words) {
      for (let n = 0; n < 60; n += 1) {
        if ((await focused(page)).includes(words)) return;
        await this.key("Tab");
      }
      throw new Error(`no way to "${words}" by keyboard`);
    },
  };
}

/** Saves what the page downloads while something is done; returns the names of the files. */
async function saves(page, folder, work) {
  const files = [];
  page.on("download", (download) => files.push(download));
  await work();
  await page.getByRole("heading", { name: /saved/ }).waitFor();
  const wanted = await page.locator(".file").count();
  for (let n = 0; n < 100 && files.length < wanted; n += 1) await new Promise((go) => setTimeout(go, 50));
  must(files.length === wanted, `${files.length} of ${wanted} files were downloaded`);
  for (const file of files) await file.saveAs(path.join(folder, file.suggestedFilename()));
  return files.map((file) => file.suggestedFilename());
}

/** Answers the current step by keys alone, as well as it can be. */
async function answerByKeys(page, hand, step, realHold) {
  if (step.answer === "confirm") return hand.key("p");
  if (step.answer === "choice") return hand.key("1");
  if (step.answer === "reading") {
    await hand.type(NUMBERS[step.item]);
    return hand.key("Enter");
  }
  await hand.key("Enter");
  await wait(page, step, realHold);
  if (step.answer === "hold") return hand.key("p");
  await hand.type("30");
  return hand.key("Enter");
}

/** Answers the current step by taps; digits are typed on the keyboard that the device shows. */
async function answerByTaps(page, hand, step) {
  const card = page.locator(".card.current");
  if (step.answer === "confirm") return hand.tap(card.getByRole("button", { name: "Pass" }));
  if (step.answer === "choice") return hand.tap(card.locator(".answer.pass").first());
  if (step.answer === "reading") {
    await hand.type(NUMBERS[step.item]);
    return hand.tap(card.getByRole("button", { name: "Take this reading" }));
  }
  await hand.tap(card.locator(".timer button"));
  await wait(page, step, false);
  if (step.answer === "hold") return hand.tap(card.getByRole("button", { name: "Yes, it passes" }));
  await hand.type("30");
  return hand.tap(card.getByRole("button", { name: "Take these values" }));
}

/** Lets the time of a hold go by: once as long as it lasts, otherwise by moving the page's clock. */
async function wait(page, step, real) {
  const count = page.locator(".card.current .count");
  const place = await current(page);
  must((await count.textContent()).includes("s"), "no countdown is shown");
  if (real) await new Promise((go) => setTimeout(go, step.holdSeconds * 1000 + 1500));
  else await page.clock.fastForward(step.holdSeconds * 1000 + 200);
  await page.waitForFunction((was) => {
    const now = document.querySelector(".card.current");
    if (now.dataset.place !== was) throw new Error(`${was} was answered by the clock alone`);
    return document.activeElement.tagName === "INPUT" || document.activeElement.textContent.endsWith("Did it hold to the end?");
  }, place);
}

async function stepNow(page, steps) {
  const place = await current(page);
  looks.set(page, (looks.get(page) || 0) + 1);
  must(looks.get(page) < 80, `the check does not go on from ${place}`);
  return steps.find((step) => step.place === place);
}

/** Waits until the page says how many steps are answered. */
async function progressIs(page, count) {
  await page.waitForFunction((start) => document.querySelector(".progress").textContent.startsWith(start), `${count} of `, { timeout: 15000 });
}

/** Marks the current step as not done, once the page stands before answer `count`. */
async function leaveOut(page, count) {
  await progressIs(page, count - 1);
  await page.locator(".card.current").getByRole("button", { name: "Not done…" }).click();
  await page.locator(".card.current input").fill("the room was needed");
  await page.keyboard.press("Enter");
  await progressIs(page, count);
}

/** Goes to the reading over and marks every step without an answer as not done. */
async function leaveRest(page) {
  await page.getByRole("button", { name: "Read over and save" }).click();
  await page.getByLabel("Why are they not done?").fill("the room was needed");
  await page.getByRole("button", { name: "Mark these as not done" }).click();
}

const walks = {
  /** A clean check, by keyboard alone, by somebody who checked here before. */
  async cleanKeys(browser, { file, folder }) {
    const page = await open(browser, file, { time: MORNING });
    await page.evaluate(() => localStorage.setItem("pinindex page: people last time", JSON.stringify({ by: ["m-okafor", "j-lindqvist"], at: Date.now() })));
    await page.reload();
    const { steps } = await data(page);
    const hand = hands(page);
    await hand.tabTo("As last time");
    await hand.key("Enter");
    for (let step = await stepNow(page, steps); step; step = await stepNow(page, steps)) await answerByKeys(page, hand, step, false);
    await hand.tabTo("Read over");
    await hand.key("Enter");
    await hand.tabTo("Save record");
    const files = await saves(page, folder, () => hand.key("Enter"));
    page.quiet();
    return { files, steps: steps.length, ...hand.count };
  },

  /** The same by taps. */
  async cleanTaps(browser, { file, folder }) {
    const page = await open(browser, file, { time: MORNING, hasTouch: true });
    await page.evaluate(() => localStorage.setItem("pinindex page: people last time", JSON.stringify({ by: ["m-okafor", "j-lindqvist"], at: Date.now() })));
    await page.reload();
    const { steps } = await data(page);
    const hand = hands(page);
    await hand.tap(page.locator("#same-people"));
    for (let step = await stepNow(page, steps); step; step = await stepNow(page, steps)) await answerByTaps(page, hand, step);
    await hand.tap(page.getByRole("button", { name: "Read over and save" }));
    const files = await saves(page, folder, () => hand.tap(page.getByRole("button", { name: "Save record" })));
    page.quiet();
    return { files, steps: steps.length, ...hand.count };
  },

  /** By keyboard: a real hold, a failure, a try again, a reload in the middle, and both records; looked at on the way. */
  async faultKeys(browser, { file, folder }) {
    const page = await open(browser, file, { time: MORNING });
    const { steps } = await data(page);
    const hand = hands(page);
    await look(page, "start");
    for (const name of ["Jonas Lindqvist", "Maryam Okafor"]) {
      await hand.tabTo(name);
      await hand.key("Space");
    }
    await hand.tabTo("Status label");
    let held = false;
    let tried = false;
    for (let step = await stepNow(page, steps); step; step = await stepNow(page, steps)) {
      if (step.item === "battery") {
        await hand.tabTo("Not done…");
        await hand.key("Enter");
        await hand.type("the charger is being replaced");
        await hand.key("Enter");
      } else if (step.item === "oxygen-monitor-air" && !tried) {
        tried = true;
        await hand.type("17.5");
        await hand.key("Enter");
        must((await page.locator(".card.current .verdict").textContent()).includes("The machine is withheld from use"), "nothing follows");
        await look(page, "failed");
        await hand.key("a");
        await hand.type("20,9 %");
        await hand.key("Enter");
      } else if (step.item === "scavenging") {
        await hand.key("f");
        must((await page.locator(".card.current .call").textContent()).includes("Rosa Castellanos"), "nobody is called");
        await hand.key("r");
        await hand.type("The float stands below its band.");
        await hand.tabTo("Keep this remark");
        await hand.key("Enter");
        await hand.tabTo("Next step");
        await hand.key("Enter");
      } else {
        await answerByKeys(page, hand, step, step.answer === "hold" && !held);
        held = held || step.answer === "hold";
      }
      if (step.item === "suction") {
        await look(page, "middle");
        const before = await page.locator(".progress").textContent();
        await page.reload();
        must((await page.locator(".progress").textContent()) === before, "the reload lost something");
        await hand.tabTo("Skip to the next step");
        await hand.key("Enter");
      }
    }
    await hand.tabTo("Read over");
    await hand.key("Enter");
    await look(page, "read over");
    await hand.tabTo("Save both records");
    await hand.key("Enter");
    await page.locator("[aria-invalid]").first().waitFor();
    await look(page, "read over, refused");
    await hand.type("the room is used for short cases only, with the door open");
    await hand.key("Tab");
    await page.locator("input[type=date]").fill("2026-12-02");
    await hand.tabTo("Choose a person");
    await page.keyboard.type("Rosa");
    await hand.tabTo("Save both records");
    const files = await saves(page, folder, () => hand.key("Enter"));
    await look(page, "saved");
    return { files };
  },

  /** A number that no gauge shows, typed again; then one that the gauge shows, by keyboard alone. */
  async doubted(browser, { file, folder }) {
    const page = await open(browser, file, { time: MORNING });
    const { steps } = await data(page);
    const hand = hands(page);
    await hand.tabTo("Maryam Okafor");
    await hand.key("Space");
    await hand.tabTo("Status label");
    let typed = false;
    for (let step = await stepNow(page, steps); step; step = await stepNow(page, steps)) {
      if (step.item === "spare-oxygen-cylinder" && !typed) {
        typed = true;
        await hand.type("40000");
        await hand.key("Enter");
        const asked = await page.locator(".card.current .refused").textContent();
        must(asked.startsWith("40000 psi? It is hard to believe: a full cylinder shows"), asked);
        await look(page, "doubted");
        must((await focused(page)) === "Type it again", "a held Enter would take it");
        await hand.key("Enter");
      } else if (step.place === "pipeline-pressure/air") {
        await hand.type("52 bar");
        await hand.key("Enter");
        await hand.tabTo("The gauge shows it");
        await hand.key("Enter");
      } else {
        await answerByKeys(page, hand, step, false);
      }
    }
    await hand.tabTo("Read over");
    await hand.key("Enter");
    must((await page.locator(".ends").textContent()).includes("52 bar? It is hard to believe"), "nothing is said of it");
    await hand.tabTo("Save record");
    const files = await saves(page, folder, () => hand.key("Enter"));
    page.quiet();
    return { files };
  },

  /** An emergency start by taps, then the next check. */
  async emergency(browser, { file, folder }) {
    const page = await open(browser, file, { time: MORNING, hasTouch: true });
    const { steps } = await data(page);
    const hand = hands(page);
    await hand.tap(page.getByRole("button", { name: "Tomoe Nakagiri" }));
    await hand.tap(page.getByRole("button", { name: "Emergency start" }));
    await look(page, "emergency start");
    let asked = 0;
    for (let step = await stepNow(page, steps); step; step = await stepNow(page, steps)) {
      must(step.cannotWait, `${step.place} can wait`);
      await answerByTaps(page, hand, step);
      asked += 1;
    }
    await hand.tap(page.getByRole("button", { name: "Read over and save" }));
    const files = await saves(page, folder, () => hand.tap(page.getByRole("button", { name: "Save record" })));
    await hand.tap(page.getByRole("button", { name: "Start the next check" }));
    must((await page.locator(".progress").textContent()) === `0 of ${steps.length} answered`, "the next check does not begin empty");
    must((await page.locator("#saved-earlier .file").textContent()) === files[0], "the next check takes the saved record away");
    page.quiet();
    return { files, asked, ...hand.count };
  },

  /** Words that other programs could take for markup, on a device that keeps nothing. */
  async nasty(browser, { file, folder }) {
    const before = () => { Storage.prototype.setItem = () => { throw new Error("refused"); }; };
    // A device whose zone is another one: the record has the times of the site.
    const page = await open(browser, file, { time: MORNING, before, timezoneId: "America/St_Johns" });
    must((await page.locator(".notice").first().textContent()).includes("keeps nothing"), "nobody is told that nothing is kept");
    await page.getByRole("button", { name: "Maryam Okafor" }).click();
    await page.locator(".card.current").getByRole("button", { name: "Not done…" }).click();
    await page.keyboard.type("x");
    await page.locator(".card.current input").fill(NASTY);
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Read over and save" }).click();
    must((await page.locator(".ends").innerHTML()).includes("&lt;/script&gt;"), "the reason is not shown as it is");
    await page.getByLabel("Why are they not done?").fill(NASTY);
    await page.getByRole("button", { name: "Mark these as not done" }).click();
    await page.getByLabel("Remarks on the whole check").fill(`${NASTY}\nno\n12:30`);
    const files = await saves(page, folder, () => page.getByRole("button", { name: "Save record" }).click());
    const shown = await page.locator(".files textarea").first().inputValue();
    must(shown.includes("\\u202E"), "the text of the record is not shown");
    page.quiet();
    return { files, remark: NASTY };
  },

  /** A check of yesterday that was never finished, and a device whose clock is wrong. */
  async yesterday(browser, { file }) {
    const page = await open(browser, file, { time: MORNING, timezoneId: "Europe/Vienna" });
    await page.getByRole("button", { name: "Maryam Okafor" }).click();
    await page.locator(".card.current .answer.pass").first().click();
    await page.clock.setSystemTime(new Date("2026-11-26T06:40:00+01:00"));
    await page.reload();
    await page.getByRole("heading", { name: "An unfinished check is kept here" }).waitFor();
    await look(page, "unfinished");
    await page.getByRole("button", { name: "Go on with it" }).click();
    must((await page.locator(".progress").textContent()).startsWith("1 of"), "the unfinished check is lost");
    await page.clock.setSystemTime(new Date("2026-11-26T06:41:00+01:00"));
    await page.reload();
    await page.getByRole("button", { name: "Start anew" }).click();
    must((await page.locator(".progress").textContent()).startsWith("0 of"), "the new check is not empty");
    await page.clock.setSystemTime(new Date("2020-01-01T00:00:00+01:00"));
    await page.reload();
    const told = await page.locator(".notice").first().textContent();
    must(told.startsWith("Your device says Wednesday") && told.includes("2020"), `a wrong clock is not told: ${told}`);
    await look(page, "wrong clock");
    return {};
  },

  /** Two tabs of one page, in a browser with locks and in one without: one works, the other waits and reads afresh. */
  async twoTabs(browser, { file }) {
    for (const before of [undefined, () => Object.defineProperty(Navigator.prototype, "locks", { value: undefined })]) {
      const page = await open(browser, file);
      const other = await page.context().newPage();
      for (const tab of [page, other]) {
        if (before) await tab.addInitScript(before);
        await tab.goto(`file://${file}`);
        if (tab === page) await leaveOut(page, 1);
      }
      await other.getByRole("heading", { name: "This check is open in another tab" }).waitFor();
      must((await other.getByRole("button").count()) === 0, "the second tab takes answers");
      const signs = await page.evaluate(() => Object.keys(localStorage).filter((key) => key.endsWith("the tab that works on it")).length);
      must(signs === (before ? 1 : 0), `${signs} signs of life`);
      other.quiet = () => {};
      await look(other, "in another tab");
      await leaveOut(page, 2);
      await page.close({ runBeforeUnload: true });
      await leaveOut(other, 3);
      await other.reload();
      await progressIs(other, 3);
    }
    return {};
  },

  /** A saved record on the next day: it is offered until somebody says that it is in its place. */
  async savedEarlier(browser, { file, folder }) {
    const page = await open(browser, file, { time: MORNING, timezoneId: "Europe/Vienna" });
    await page.getByRole("button", { name: "Maryam Okafor" }).click();
    await leaveRest(page);
    const files = await saves(page, folder, () => page.getByRole("button", { name: "Save record" }).click());
    const text = await page.locator(".files textarea").inputValue();
    await page.clock.setSystemTime(new Date("2026-11-26T06:40:00+01:00"));
    await page.reload();
    await page.getByRole("heading", { name: "Saved earlier (1)" }).waitFor();
    await progressIs(page, 0);
    must((await page.locator("#saved-earlier .file").textContent()) === files[0], "another file is offered");
    must((await page.locator("#saved-earlier textarea").inputValue()) === text, "the text is another one");
    await look(page, "saved earlier");
    const again = page.waitForEvent("download");
    await page.getByRole("button", { name: "Save again" }).click();
    must((await again).suggestedFilename() === files[0], "the file is not saved again");
    await page.getByRole("button", { name: "The files are in their place" }).click();
    await page.reload();
    await progressIs(page, 0);
    must((await page.locator("#saved-earlier").count()) === 0, "what is in its place is offered again");
    page.quiet();
    return { files };
  },

  /** Damaged storage, then storage that is full: the page begins, keeps what was there, and tells. */
  async damaged(browser, { file }) {
    const page = await open(browser, file, { time: MORNING });
    const { code, steps } = await data(page);
    const name = `pinindex page: check ${code}`;
    await leaveOut(page, 1);
    const whole = JSON.parse(await page.evaluate((key) => localStorage.getItem(key), name));
    const unfit = { ...whole, results: { [steps[0].place]: { answer: { reading: 5 }, earlier: [], remark: "" } } };
    for (const text of ['{"version":1,"started":1}', "{", "[]", '{"version":7}', JSON.stringify({ ...whole, by: [1] }), JSON.stringify(unfit)]) {
      await page.evaluate(([key, value]) => localStorage.setItem(key, value), [name, text]);
      await page.reload();
      await page.getByText("It was put aside, and the check begins empty").waitFor();
      await progressIs(page, 0);
      must((await page.locator(".notice textarea").inputValue()) === text, "what was put aside is not shown");
      const kept = await page.evaluate(() => Object.entries(localStorage).filter(([key]) => key.includes("put aside")).map(([, value]) => JSON.parse(value)));
      must(kept.includes(text), `${text} is lost`);
    }
    await look(page, "put aside");
    await page.evaluate(() => { Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }; });
    await page.getByRole("button", { name: "Maryam Okafor" }).click();
    must((await page.locator(".notice").first().textContent()).includes("keeps nothing more"), "nobody is told that the storage is full");
    must((await page.locator(".progress").textContent()).includes("Not kept"), "the top of the page does not say so");
    page.quiet();
    return {};
  },

  /** A test that failed and is then left out, and a fault record that was begun for another failure. */
  async failedThenLeft(browser, { file, folder }) {
    const page = await open(browser, file, { time: MORNING });
    const { steps } = await data(page);
    const [mild, grave] = ["restrict", "withhold"].map((fails) => steps.find((step) => step.fails === fails && step.answer === "confirm"));
    must(mild && grave, "the procedure has no two such steps");
    const card = (step) => page.locator(`.card[data-place="${step.place}"]`);
    const fail = async (step) => {
      await card(step).locator(".head[aria-expanded=false]").click({ timeout: 2000 }).catch(() => {});
      await card(step).getByRole("button", { name: "Fail", exact: true }).click();
    };
    await page.getByRole("button", { name: "Maryam Okafor" }).click();
    await fail(mild);
    await leaveRest(page);
    await page.getByLabel("What is wrong, as seen").fill("Words for the first failure.");
    await page.getByLabel("Only with a restriction").check();
    await page.getByRole("button", { name: `Change: ${grave.title}` }).click();
    await card(grave).getByRole("button", { name: "Change answer" }).click();
    await fail(grave);
    await page.getByRole("button", { name: "Read over and save" }).click();
    must(await page.getByLabel("No. It is withheld from use").isChecked(), "the milder choice stands for a graver failure");
    must(!(await page.getByLabel("What is wrong, as seen").inputValue()).includes("first failure"), "the old words stand");
    must((await page.locator(".group.failed .notice").textContent()).includes("Words for the first failure."), "the old words are lost");
    await look(page, "another failure");
    await page.getByRole("button", { name: `Change: ${mild.title}` }).click();
    await card(mild).getByRole("button", { name: "Change answer" }).click();
    await card(mild).getByRole("button", { name: "Not done…" }).click();
    await page.keyboard.type("no time was left");
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Read over and save" }).click();
    const files = await saves(page, folder, () => page.getByRole("button", { name: "Save both records" }).click());
    page.quiet();
    return { files, item: mild.item };
  },
};

const asked = await question();
await withBrowser(async (browser) => {
  console.log(JSON.stringify(await walks[asked.walk](browser, asked)));
});
