
// The page itself: what stands at its top, who checks, the steps in working order, and going from one to the next.
//
// Written for browsers of the year 2020 and later: Chrome and Edge 86, Firefox 78, Safari 14.

(() => {
  const { el, button } = dom;
  const page = JSON.parse(document.getElementById("data").textContent);
  const root = document.getElementById("page");
  const main = el("main", { id: "main", tabindex: "-1" });
  const progress = el("p", { class: "progress" });
  const emergency = button("Emergency start", turnEmergency, { class: "emergency", "aria-pressed": "false" });
  const noticeBox = el("div", { class: "notices" });
  let check = draft.fresh();
  let aside = null;
  let elsewhere = false;
  let keptAtFirst = false;
  let cards = [];
  let peopleSection = null;

  judge.begin(page);

  // What was put in.

  function keep() {
    if (!alone.isMine()) return;
    const was = draft.isKept();
    draft.keep(check);
    count();
    if (was === draft.isKept()) return;
    showNotices();
    if (was) dom.say(notices.KEEPS_NO_MORE);
  }

  function began() {
    if (check.started === null) check.started = Date.now();
  }

  const asked = () => page.steps.filter((step) => !check.emergency || step.cannotWait || check.results[step.place]);
  const answered = () => asked().filter((step) => check.results[step.place]);
  const open = () => asked().filter((step) => !check.results[step.place]);

  function put(step, answer, again) {
    began();
    const before = check.results[step.place];
    // A test that failed is not undone by leaving the step out.
    const stays = before && (again || (answer["not-done"] && judge.say(step, before.answer).verdict === "fail"));
    const earlier = before ? [...before.earlier, ...(stays ? [before.answer] : [])] : [];
    check.results[step.place] = { answer, earlier, remark: before ? before.remark : "" };
  }

  /** What cards and ends may do with the check. */
  const desk = {
    result: (step) => check.results[step.place],
    began,
    sounds: () => check.sound,
    setSounds: (on) => { check.sound = on; keep(); },
    setRemarks: (words) => { check.remarks = words; keep(); },
    setFault: (fault) => { check.fault = fault; keep(); },
    callWords,
    names,
    whoIsMissing,
    refusePeople,
    show,
    startAnew,
    turn: (self) => (self.open ? close(self) : openCard(self)),
    next,
    openStep: (step) => { show("steps"); openCard(cards.find((one) => one.step === step)); },
    answer(self, answer, again) {
      put(self.step, answer, again);
      check.finished = Math.max(Date.now(), check.started);
      keep();
      const said = judge.say(self.step, answer);
      dom.say([`${self.step.title}: ${said.headline}`, ...said.values, said.reckoned, said.follows].filter(Boolean).join(". "));
      if (said.verdict === "fail") openCard(self);
      else next(self);
    },
    remark(self, words) {
      check.results[self.step.place].remark = words;
      keep();
    },
    leaveRest(steps, because, silently) {
      steps.forEach((step) => put(step, { "not-done": because }, false));
      // Leaving things out is no work: the check was finished with its last answer.
      if (check.finished === null) check.finished = Math.max(Date.now(), check.started);
      keep();
      if (!silently) show("over");
    },
    saved(files) {
      check.saved = files;
      draft.keepSaved(files);
      draft.keepPeople(check.by);
      keep();
      show("saved");
    },
  };

  // Going from step to step.

  function openCard(wanted) {
    cards.filter((one) => one.open && one !== wanted).forEach(close);
    wanted.open = true;
    wanted.asks = "answer";
    wanted.draw();
    wanted.focus();
  }

  function close(one) {
    one.open = false;
    one.asks = "answer";
    one.draw();
  }

  function next(from) {
    const at = cards.indexOf(from);
    const isOpen = (one) => !desk.result(one.step);
    const wanted = cards.slice(at + 1).find(isOpen) || cards.find(isOpen);
    if (wanted) return openCard(wanted);
    close(from);
    const end = document.getElementById("end");
    return dom.go(end, end.querySelector("button"));
  }

  /** Goes to the card that is open, past what stands before it. */
  function toCurrent(event) {
    const current = cards.find((one) => one.open);
    if (!current) return;
    event.preventDefault();
    current.focus();
  }

  // The parts of the page.

  function count() {
    progress.textContent = `${answered().length} of ${asked().length} answered${draft.isKept() ? "" : ". Not kept on this device"}`;
    emergency.setAttribute("aria-pressed", String(check.emergency));
    emergency.hidden = progress.hidden = elsewhere || check.saved !== null;
  }

  function callWords() {
    if (page.call.length === 0) return null;
    return el("p", { class: "call" }, "Call: ", page.call.join("; "));
  }

  function names(ids) {
    return ids.map((id) => (page.people.find((person) => person.id === id) || { name: id }).name).join(", ");
  }

  /** Returns what a step asks of the people who check, when those who were named do not have it. */
  function whoIsMissing(step) {
    const roles = check.by.map((id) => (page.people.find((person) => person.id === id) || {}).role);
    const { "any-of": anyOf, "all-of": allOf } = step.by;
    const enough = anyOf ? anyOf.some((role) => roles.includes(role)) : allOf.every((role) => roles.includes(role));
    return roles.length === 0 || enough ? null : `This step is for ${step.byWords}.`;
  }

  function top() {
    const skip = el("a", { class: "skip", href: "#main", onclick: toCurrent }, "Skip to the next step");
    const where = el("p", { class: "where" }, el("strong", {}, page.machine.name));
    return [skip, el("header", { class: "top" }, el("div", {}, where, progress), emergency), el("div", { id: "said", class: "unseen", role: "status" })];
  }

  function about() {
    const { state } = page;
    const words = { ready: "ready", restricted: "ready, with a restriction", "not ready": "not ready" }[state.word];
    return [
      el("h1", {}, page.procedure.title),
      el("p", { class: "about" }, `${page.machine.location}. Asset ${page.machine.asset}. ${page.site}. Revision ${page.procedure.revision}, form ${page.code}.`),
      el("section", { class: `state ${state.word.replace(" ", "-")}` },
        el("h2", {}, state.withheld ? "This machine was withheld from use" : `The records said: ${words}`),
        el("p", {}, `So it stood on ${page.madeWords}, when this page was made. It may have changed since.`),
        el("ul", {}, state.reasons.map((reason) => el("li", {}, reason)))),
      el("p", { class: "caution" }, "The maker's instructions and local policy come first. A failed or missing check never stands in the way of emergency care. This page is an aid to keeping records and no medical device. Put nothing in about a patient."),
    ];
  }

  function showNotices() {
    noticeBox.replaceChildren(...notices.all(page, { now: Date.now(), keptAtFirst, aside }));
  }

  function savedEarlier() {
    const files = draft.savedEarlier();
    if (files.length === 0) return "";
    const section = ends.savedEarlier(files, () => {
      draft.forgetSaved(files);
      section.remove();
      dom.say("The texts of these files are no longer kept here");
      dom.go(main, main);
    });
    return section;
  }

  // Who checks.

  const FEW = 12;

  function people() {
    const checkers = page.people.filter((person) => person.checks);
    const chips = checkers.map((person) => {
      const chip = button([el("span", {}, person.name), el("small", {}, person.role)], () => turnPerson(person.id), { class: "chip", "aria-pressed": String(check.by.includes(person.id)) });
      chip.person = person.id;
      return chip;
    });
    const last = draft.lastPeople().filter((id) => checkers.some((person) => person.id === id));
    const same = last.length > 0 && check.by.length === 0 && button(`As last time: ${names(last)}`, () => choosePeople(last), { class: "wide", id: "same-people" });
    const filter = el("input", { type: "search", autocomplete: "off", oninput: () => chips.forEach((chip) => { chip.hidden = !chip.textContent.toLowerCase().includes(filter.value.trim().toLowerCase()); }) });
    return el("section", { class: "people", id: "people" },
      el("fieldset", {}, el("legend", {}, "Who is checking?"), el("p", { class: "hint" }, "Everyone who takes part. Who is named first writes the record."),
        same || null, checkers.length > FEW ? dom.field("Find a name", filter) : null, el("div", { class: "chips" }, chips)));
  }

  function turnPerson(id) {
    began();
    check.by = check.by.includes(id) ? check.by.filter((one) => one !== id) : [...check.by, id];
    peopleChanged();
  }

  function choosePeople(ids) {
    began();
    check.by = ids;
    peopleChanged();
    next(cards[cards.length - 1]);
  }

  function peopleChanged() {
    keep();
    peopleSection.querySelectorAll(".chip").forEach((chip) => chip.setAttribute("aria-pressed", String(check.by.includes(chip.person))));
    const [same, refused] = [document.getElementById("same-people"), peopleSection.querySelector(".refused")];
    if (same) same.remove();
    if (refused) refused.remove();
    // Their roles decide what the open steps say; nothing that is being put in is touched.
    cards.filter((one) => one.open && !one.hold && !one.root.contains(document.activeElement)).forEach((one) => one.draw());
  }

  function refusePeople() {
    show("people");
    peopleSection.querySelector("fieldset").append(el("p", { class: "refused" }, "Name at least one person who took part."));
    dom.say("Name at least one person who took part.");
  }

  // An emergency start.

  function turnEmergency() {
    began();
    check.emergency = !check.emergency;
    keep();
    show("steps");
    dom.say(check.emergency ? "Emergency start: only what cannot wait is asked" : "The whole check is asked");
  }

  function emergencyWords() {
    const which = page.steps.some((step) => step.cannotWait) ? "Only the steps that cannot wait are asked." : "This procedure marks no step that cannot wait.";
    return el("div", { class: "notice" }, el("p", {}, el("strong", {}, "Emergency start. "), which, " The rest is recorded as not done, with that reason. Do the whole check when the emergency is over."),
      button("Back to the whole check", turnEmergency));
  }

  // What is shown.

  const views = { steps: showSteps, people: () => { showSteps(); dom.go(peopleSection, peopleSection.querySelector(".chip")); }, over: showOver, saved: showSaved, unfinished: showUnfinished, elsewhere: showElsewhere };

  function show(view) {
    cards.forEach((one) => one.hold && one.hold.stop());
    showNotices();
    views[view]();
    count();
  }

  function showSteps() {
    peopleSection = people();
    cards = asked().map((step, n) => card.make(step, n + 1, desk));
    const first = cards.find((one) => !desk.result(one.step));
    if (first) first.open = true;
    cards.forEach((one) => one.draw());
    const end = el("div", { class: "actions", id: "end" }, button("Read over and save", () => show("over"), { class: "main wide" }));
    main.replaceChildren(noticeBox, ...about(), savedEarlier(), check.emergency ? emergencyWords() : "", peopleSection,
      el("h2", {}, "Steps"), el("ol", { class: "cards" }, cards.map((one) => one.root)), end);
  }

  function showOver() {
    cards = [];
    main.replaceChildren(noticeBox, ends.readOver(page, check, desk));
    toTop();
  }

  function showSaved() {
    cards = [];
    main.replaceChildren(noticeBox, ends.saved(page, check, desk));
    toTop();
  }

  function showUnfinished() {
    const begun = record.moment(check.started, page.zone).slice(0, 16).replace("T", " ");
    main.replaceChildren(noticeBox, el("section", { class: "ends" },
      el("h1", { tabindex: "-1", "data-first": true }, "An unfinished check is kept here"),
      el("p", {}, `It was begun on ${begun}. ${answered().length} of ${asked().length} steps were answered. What was seen then may not hold now.`),
      el("div", { class: "actions" }, button("Start anew", startAnew, { class: "main" }), button("Go on with it", () => show("steps")))), savedEarlier());
  }

  function showElsewhere() {
    cards = [];
    main.replaceChildren(el("section", { class: "ends" },
      el("h1", { tabindex: "-1", "data-first": true }, "This check is open in another tab"),
      el("p", {}, "Go on with it there: this tab takes no answers. When the other tab is closed, this one shows what was put in there, and you can go on with it here."),
      el("p", {}, "A failed or missing check never stands in the way of emergency care.")));
    toTop();
  }

  function toTop() {
    dom.go(main, main.querySelector("[data-first]"));
  }

  function startAnew() {
    check = { ...draft.fresh(), sound: check.sound };
    keep();
    show("steps");
    dom.go(main, main);
  }

  // The beginning.

  window.addEventListener("beforeunload", (event) => {
    if (!draft.isKept() && check.started !== null && !check.saved) event.preventDefault();
  });

  const day = (instant) => record.moment(instant, page.zone).slice(0, 10);

  function begin() {
    elsewhere = false;
    ({ check, aside } = draft.begin(page));
    const ofAnotherDay = check.started !== null && day(check.started) !== day(Date.now());
    if (check.saved && ofAnotherDay) check = draft.fresh();
    if (check.saved) show("saved");
    else show(ofAnotherDay ? "unfinished" : "steps");
  }

  function leaveToOther() {
    elsewhere = true;
    show("elsewhere");
  }

  root.append(...top(), main);
  begin();
  keptAtFirst = draft.isKept();
  if (keptAtFirst) alone.begin(draft.nameOf(page.code), { free: begin, taken: leaveToOther });
})();
