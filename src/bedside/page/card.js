
// One step as a card: what to do, the way to answer it, and what the answer comes to.
//
// Takes a step and what the page does with answers (`desk`); gives an element that can be drawn anew and focused.

const card = (() => {
  const { el, button, field } = dom;
  const MARKS = { pass: "✓", fail: "✕", "not-done": "–" };
  const spaced = (word) => word.replace(/-/g, " ");
  const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

  /** Returns a card. */
  function make(step, number, desk) {
    const head = button("", () => desk.turn(self), { class: "head", "aria-expanded": "false" });
    const body = el("div", { class: "body", id: dom.id("step") });
    head.setAttribute("aria-controls", body.id);
    const root = el("li", { class: "card", "data-place": step.place, onkeydown: (event) => pressed(self, event) }, el("h3", {}, head), body);
    const self = { step, number, desk, head, body, root, open: false, asks: "answer", hold: null };
    self.draw = () => draw(self);
    self.focus = () => dom.go(root, root.querySelector("[data-first]") || head);
    return self;
  }

  function draw(self) {
    const { step, desk, head, body, root } = self;
    stopHold(self);
    const given = desk.result(step);
    const said = given ? judge.say(step, given.answer) : null;
    root.className = `card ${said ? said.verdict : "unanswered"}${self.open ? " current" : ""}`;
    const mark = el("span", { class: "mark", "aria-hidden": "true" }, said ? MARKS[said.verdict] : String(self.number));
    const told = said ? [said.headline, said.reckoned].filter(Boolean).map(capital).join(". ") : "";
    head.replaceChildren(mark, el("span", { class: "title" }, step.title), el("span", { class: "told" }, told));
    head.setAttribute("aria-expanded", String(self.open));
    body.hidden = !self.open;
    body.replaceChildren(...(self.open ? inside(self, given, said) : []));
  }

  function inside(self, given, said) {
    const { step } = self;
    const instruction = el("p", { class: "do", id: dom.id("do") }, step.instruction);
    self.head.setAttribute("aria-describedby", instruction.id);
    const limits = step.limitWords.map((words) => el("p", { class: "limit" }, `Limit: ${words}`));
    const who = self.desk.whoIsMissing(step);
    const parts = [instruction, ...limits, who && el("p", { class: "who" }, who)];
    if (self.asks === "not-done") parts.push(notDone(self, given));
    else if (self.asks === "doubt") parts.push(doubted(self));
    else if (given && self.asks === "answer") parts.push(answered(self, given, said));
    else parts.push(question(self), more(self, given));
    return parts.filter(Boolean);
  }

  // What an answer comes to.

  function answered(self, given, said) {
    const { step, desk } = self;
    const lines = [...said.values, said.reckoned, said.doubt].filter(Boolean).map((line) => el("p", {}, capital(line)));
    const failed = said.verdict === "fail";
    const follows = failed && el("div", { class: "follows" }, el("p", {}, el("strong", {}, `${capital(said.follows)}.`)), desk.callWords());
    const earlier = given.earlier.map((answer) => el("p", { class: "earlier" }, `Tried before: ${judge.say(step, answer).headline}`));
    const shown = el("div", { class: `verdict ${said.verdict}` },
      el("p", { class: "headline" }, el("span", { class: "mark", "aria-hidden": "true" }, MARKS[said.verdict]), capital(said.headline)),
      lines, follows, earlier, given.remark && el("p", { class: "remark" }, `Remark: ${given.remark}`));
    const actions = el("div", { class: "actions" },
      button("Next step", () => desk.next(self), { class: "main", "data-first": true }),
      failed && button("Test again", () => ask(self, "again"), { "aria-keyshortcuts": "a" }),
      button("Change answer", () => ask(self, "change")));
    return el("div", {}, shown, actions, remark(self, given));
  }

  /** Asks the step again: `again` keeps the answer that is there as a try, `change` puts a slip right. */
  function ask(self, how) {
    self.asks = how;
    self.draw();
    self.focus();
  }

  function give(self, typed) {
    const meant = judge.answer(self.step, typed);
    if (meant.unclear) return meant.unclear;
    const { doubt } = judge.say(self.step, meant.answer);
    if (!doubt) return accept(self, meant.answer, self.asks);
    self.doubted = { answer: meant.answer, doubt, asked: self.asks };
    ask(self, "doubt");
    dom.say(doubt);
    return null;
  }

  function accept(self, answer, asked) {
    self.asks = "answer";
    self.desk.answer(self, answer, asked === "again");
    return null;
  }

  /** Asks whether a number that is hard to believe was really seen. */
  function doubted(self) {
    const { answer, doubt, asked } = self.doubted;
    const seen = self.step.answer === "hold" ? "It took so long" : "The gauge shows it";
    return el("div", {}, el("p", { class: "refused" }, doubt), el("div", { class: "actions" },
      button("Type it again", () => ask(self, asked), { class: "main", "data-first": true }),
      button(seen, () => accept(self, answer, asked))));
  }

  // The ways to answer.

  function question(self) {
    const ways = { confirm, choice, reading, hold, "pressure-held": pressureHeld };
    return el("fieldset", {}, el("legend", { class: "unseen" }, self.step.title), ways[self.step.answer](self));
  }

  function confirm(self) {
    return el("div", { class: "answers" },
      button("Pass", () => give(self, "pass"), { class: "answer pass", "aria-keyshortcuts": "p" }),
      button("Fail", () => give(self, "fail"), { class: "answer fail", "aria-keyshortcuts": "f" }));
  }

  function choice(self) {
    const words = self.step.choices.map(([word, meaning], n) =>
      button([el("span", {}, capital(spaced(word))), el("small", {}, meaning === "fail" ? "fails" : "passes")],
        () => give(self, { choice: word }), { class: `answer ${meaning}`, "aria-keyshortcuts": String(n + 1) }));
    return el("div", { class: "answers" }, words);
  }

  /** Returns a field for a number and one for its unit; `settled` is told when the person leaves it or presses Enter. */
  function number(self, words, units, value, settled) {
    const input = el("input", { type: "text", inputmode: "decimal", autocomplete: "off", enterkeyhint: "done", value });
    const unit = el("select", { "aria-label": `Unit: ${words}` }, units.map((symbol) => el("option", { value: symbol }, symbol)));
    input.addEventListener("input", () => dom.accept(input));
    // A field that was just taken away tells once more that it changed.
    const here = (sure) => input.isConnected && settled(sure);
    dom.onEnter(input, () => here(true));
    input.addEventListener("change", () => here(false));
    unit.addEventListener("change", () => here(false));
    const both = field(words, input);
    both.append(unit);
    // A unit that was typed counts; otherwise it is the one that is shown.
    const typed = () => (/[^\s\d.,\u2212-]/.test(input.value) || input.value.trim() === "" ? input.value : `${input.value} ${unit.value}`);
    return { input, unit, both, typed };
  }

  /** Returns the button that takes numbers. Pressing it leaves the focus where it is, so that nothing moves under a finger. */
  function take(words, settle, kind) {
    return button(words, () => settle(true), { class: kind, onmousedown: (event) => event.preventDefault() });
  }

  function reading(self) {
    const { step } = self;
    const shown = el("div", { class: "foretold" });
    const one = number(self, "Reading", step.units, "", (sure) => settle(sure));
    one.input.setAttribute("data-first", "");
    const settle = (sure) => {
      const typed = { reading: one.typed() };
      if (!sure && one.input.value.trim() === "") return;
      const stopped = sure ? give(self, typed) : foretell(self, typed, shown);
      if (stopped) dom.refuse(one.input, stopped);
    };
    return el("div", {}, one.both, take("Take this reading", settle, "main wide"), shown);
  }

  /** Shows what an answer would come to, before it is taken. Returns why there is none. */
  function foretell(self, typed, shown) {
    const meant = judge.answer(self.step, typed);
    if (meant.unclear) return meant.unclear;
    const said = judge.say(self.step, meant.answer);
    const lines = [said.headline, ...said.values, said.reckoned, said.doubt].filter(Boolean).map(capital);
    shown.replaceChildren(el("p", { class: `verdict ${said.verdict}` }, el("span", { class: "mark", "aria-hidden": "true" }, MARKS[said.verdict]), lines.join(". ")));
    dom.say(lines.join(". "));
    return null;
  }

  function hold(self) {
    const shown = el("div", { class: "foretold" });
    const byHand = number(self, "Or type the time held", self.step.units, "", (sure) => settle(sure));
    const settle = (sure) => {
      if (!sure && byHand.input.value.trim() === "") return;
      const typed = { held: byHand.typed() };
      const stopped = sure ? give(self, typed) : foretell(self, typed, shown);
      if (stopped) dom.refuse(byHand.input, stopped);
    };
    const timer = countdown(self, "Start the hold", "Let go early", (seconds, over) => (over ? held(self, timer, seconds) : give(self, { held: `${seconds} s` })));
    return el("div", {}, timer, byHand.both, take("Take this time", settle, "wide"), shown);
  }

  /** Asks what became of a hold whose time is up: that nobody touched the page is no answer. */
  function held(self, timer, seconds) {
    const question = el("p", { tabindex: "-1", class: "limit" }, `The ${seconds} s are over. Did it hold to the end?`);
    timer.replaceChildren(question, el("div", { class: "answers" },
      button("Yes, it passes", () => give(self, { held: `${seconds} s` }), { class: "answer pass", "aria-keyshortcuts": "p" }),
      button("No, it fails", () => give(self, "fail"), { class: "answer fail", "aria-keyshortcuts": "f" }),
      button("Count again", () => { self.draw(); self.focus(); })));
    dom.go(timer, question);
  }

  function pressureHeld(self) {
    const { step } = self;
    const start = step.start ? step.start.split(" ")[0] : "";
    const unit = step.units;
    const shown = el("div", { class: "foretold" });
    const from = number(self, "Pressure at the start", unit, start, (sure) => settle(sure));
    const time = number(self, "Time watched", ["s", "min", "h", "d"], "", (sure) => settle(sure));
    const to = number(self, "Pressure at the end", unit, "", (sure) => settle(sure));
    to.unit.value = from.unit.value;
    from.unit.addEventListener("change", () => { to.unit.value = from.unit.value; });
    const timer = countdown(self, "Start watching", "Stop early", (seconds) => {
      time.input.value = String(seconds);
      time.unit.value = "s";
      dom.accept(time.input);
      dom.go(to.both, to.input);
    });
    const settle = (sure) => {
      const all = [from, to, time];
      const empty = all.find((one) => one.input.value.trim() === "");
      if (!sure && empty) return;
      if (empty) return void (dom.refuse(empty.input, "a number is needed here"), empty.input.focus());
      const typed = { "pressure-held": { from: from.typed(), to: to.typed(), time: time.typed() } };
      const stopped = sure ? give(self, typed) : foretell(self, typed, shown);
      if (stopped) dom.refuse(to.input, stopped);
    };
    return el("div", {}, from.both, timer, to.both, time.both, take("Take these values", settle, "main wide"), shown);
  }

  /**
   * Returns a timer for the seconds of a step, or one that counts up where no limit says how many. `done` is told the
   * seconds, and whether they are over because nobody ended them.
   */
  function countdown(self, startWords, stopWords, done) {
    const seconds = self.step.holdSeconds;
    const left = (gone) => (seconds === null ? gone : seconds - gone);
    const shown = el("p", { class: "count", "aria-hidden": "true" }, seconds === null ? "0 s" : `${seconds} s`);
    const end = (gone, over) => {
      stopHold(self);
      if (self.desk.sounds()) holds.sound();
      dom.say(`${gone} seconds`);
      done(gone, over);
    };
    const tick = (gone) => {
      shown.textContent = `${left(gone)} s`;
      if ([60, 30, 10, 5].includes(left(gone)) && gone > 0) dom.say(`${left(gone)} seconds`);
    };
    const press = button(startWords, () => {
      if (self.hold) return end(self.hold.gone(), false);
      holds.readySound();
      self.hold = holds.begin(seconds, tick, () => end(seconds, true));
      press.textContent = seconds === null ? "Stop" : stopWords;
      shown.classList.add("running");
      dom.say(seconds === null ? "The time runs" : `${seconds} seconds, from now`);
      self.desk.began();
    }, { class: "main wide", "data-first": true });
    const tone = el("input", { type: "checkbox", id: dom.id("tone"), onchange: () => self.desk.setSounds(tone.checked) });
    tone.checked = self.desk.sounds();
    return el("div", { class: "timer" }, shown, press, el("div", { class: "tick" }, tone, el("label", { for: tone.id }, "Sound a tone at the end")));
  }

  function stopHold(self) {
    if (self.hold) self.hold.stop();
    self.hold = null;
  }

  // What can be said besides an answer.

  function more(self, given) {
    const numberless = !["confirm", "choice"].includes(self.step.answer);
    return el("div", { class: "actions" },
      numberless && button("It fails, without a number", () => give(self, "fail")),
      button("Not done…", () => ask(self, "not-done"), { "aria-keyshortcuts": "s" }),
      given && button("Leave as it was", () => ask(self, "answer")));
  }

  function notDone(self, given) {
    const input = el("input", { type: "text", maxlength: "500", autocomplete: "off", "data-first": true });
    const failed = given && judge.say(self.step, given.answer).verdict === "fail";
    const take = () => {
      const stopped = give(self, { "not-done": input.value });
      if (stopped) dom.refuse(input, stopped);
    };
    input.addEventListener("input", () => dom.accept(input));
    dom.onEnter(input, take);
    return el("div", {}, field("Why is it not done?", input, `One short reason. Nothing about a patient.${failed ? " The test that failed stays in the record." : ""}`),
      el("div", { class: "actions" }, button("Mark as not done", take, { class: "main" }), button("Back", () => ask(self, "answer"))));
  }

  function remark(self, given) {
    const input = el("textarea", { rows: "2", maxlength: "2000" });
    input.value = given.remark || "";
    input.addEventListener("change", () => self.desk.remark(self, input.value.trim()));
    const done = button("Keep this remark", () => {
      self.desk.remark(self, input.value.trim());
      self.draw();
      self.focus();
    });
    const words = el("summary", { "aria-keyshortcuts": "r" }, given.remark ? "Change the remark…" : "Remark…");
    const box = el("details", {}, words, field("Remark on this step", input, "Nothing about a patient."), done);
    // Not by the toggle event: it comes late, and what is typed at once would lose its first letter.
    words.addEventListener("click", (event) => {
      event.preventDefault();
      box.open = !box.open;
      if (box.open) input.focus();
    });
    return box;
  }

  /** Takes keys as the terminal does, while the focus is in the card and not in a field. */
  function pressed(self, event) {
    if (event.ctrlKey || event.altKey || event.metaKey || /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName)) return;
    const target = [...self.body.querySelectorAll("[aria-keyshortcuts]")].find((one) => one.getAttribute("aria-keyshortcuts") === event.key.toLowerCase());
    if (!target) return;
    event.preventDefault();
    target.click();
  }

  return { make, capital };
})();
