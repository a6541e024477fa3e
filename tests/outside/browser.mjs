// A real browser for the tests of the offline page: Debian's Chromium, driven by playwright-core.
//
// Every request of a page that is not a file, a blob or data fails the test, and so does every error that the page throws
// or its policy reports.
import { chromium } from "playwright-core";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import process from "node:process";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Returns the one JSON value that the test gave. */
export async function question() {
  const parts = [];
  for await (const part of process.stdin) parts.push(part);
  return JSON.parse(Buffer.concat(parts).toString("utf8"));
}

/** Fails with a sentence unless something holds. */
export function must(holds, sentence) {
  if (!holds) throw new Error(sentence);
}

/** Opens files in the browser, does the work, and closes it again whatever comes of it. */
export async function withBrowser(work) {
  const executablePath = execFileSync("sh", ["-c", "command -v chromium"], { encoding: "utf8" }).trim();
  const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"] });
  try {
    await work(browser);
  } finally {
    await browser.close();
  }
}

/** Opens a page as a fresh visitor with a clock that shows `time` and runs on. `before` may prepare the page. */
export async function open(browser, file, { time, before, ...options } = {}) {
  const context = await browser.newContext({ viewport: { width: 820, height: 1180 }, reducedMotion: "reduce", ...options });
  const page = await context.newPage();
  const wrong = [];
  page.on("request", (request) => /^(file|blob|data):/.test(request.url()) || wrong.push(`asked for ${request.url()}`));
  page.on("pageerror", (error) => wrong.push(String(error)));
  page.on("console", (message) => message.type() === "error" && wrong.push(message.text()));
  page.quiet = () => must(wrong.length === 0, wrong.join("\n"));
  if (time) await page.clock.install({ time: new Date(time) });
  if (before) await page.addInitScript(before);
  await page.goto(`file://${file}`);
  return page;
}

const WIDTHS = [
  [820, "tablet"],
  [640, "1280 pixels at 200 %"],
  [320, "320 pixels"],
];

/** Looks at a stage of the page: axe-core finds nothing in light or dark, and nothing scrolls sideways at any width. */
export async function look(page, stage) {
  for (const colorScheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme });
    await page.evaluate(AXE);
    const found = await page.evaluate(async () => {
      const { violations } = await globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] });
      return violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.html} ${node.failureSummary}`));
    });
    must(found.length === 0, `${stage}, ${colorScheme}: axe-core finds\n${found.join("\n")}`);
  }
  const before = page.viewportSize();
  for (const [width, name] of WIDTHS) {
    await page.setViewportSize({ width, height: 900 });
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    must(over <= 0, `${stage}, ${name}: ${over} pixels too wide`);
    const small = await page.evaluate(() => [...document.querySelectorAll("button, input:not([type=radio]):not([type=checkbox]), select, summary")]
      .filter((one) => one.offsetParent && one.getBoundingClientRect().height < 48).map((one) => one.outerHTML));
    must(small.length === 0, `${stage}, ${name}: less than 48 pixels high: ${small.join("\n")}`);
  }
  await page.setViewportSize(before);
  page.quiet();
}
