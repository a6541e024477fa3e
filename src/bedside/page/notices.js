
// What a person must know before going on: a device that keeps nothing, a clock that is wrong, a text that was put aside.
//
// Takes the page's data and what is so now; gives elements.

const notices = (() => {
  const { el } = dom;
  const YEAR_MS = 366 * 24 * 60 * 60 * 1000;
  const KEEPS_NOTHING = "This browser keeps nothing. If the page is closed before the record is saved, what you put in is lost.";
  const KEEPS_NO_MORE = "This browser keeps nothing more: its storage may be full. If the page is closed before the record is saved, what you put in from now on is lost.";

  /** Returns the notices; `keptAtFirst` tells whether the device kept anything when the page was opened. */
  function all(page, { now, keptAtFirst, aside }) {
    const told = [!draft.isKept() && (keptAtFirst ? KEEPS_NO_MORE : KEEPS_NOTHING), clock(page, now)].filter(Boolean);
    return [...told.map((words) => el("p", { class: "notice" }, words)), ...(aside === null ? [] : [putAside(aside)])];
  }

  /** Returns what is odd about the device's clock, or nothing. */
  function clock(page, now) {
    const made = Date.parse(page.made);
    if (now >= made && now <= made + YEAR_MS) return null;
    const shown = new Intl.DateTimeFormat("en-GB", { weekday: "long", day: "numeric", month: "long", year: "numeric", hour: "2-digit", minute: "2-digit" }).format(now);
    return `Your device says ${shown}; is that right? The page was made on ${page.madeWords}. If the clock of the device is wrong, set it first.`;
  }

  function putAside(aside) {
    const text = el("textarea", { rows: "6", readonly: true, "aria-label": "Text that was put aside", spellcheck: "false" });
    text.value = aside;
    return el("div", { class: "notice" },
      el("p", {}, "A check was kept on this device, but what is kept of it cannot be read. It was put aside, and the check begins empty."),
      el("details", {}, el("summary", {}, "Show the text"), text));
  }

  return { all, KEEPS_NO_MORE };
})();
