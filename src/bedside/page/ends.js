
// The end of a check: reading over what was put in, the fault record of a check that failed, and the files.
//
// Takes the page's data and the check; gives sections. Nothing is saved that was not shown first.

const ends = (() => {
  const { el, button, field } = dom;
  const EMERGENCY = "emergency start: a patient could not wait";

  /** Returns the section for reading over. */
  function readOver(page, check, desk) {
    const groups = sorted(page, check);
    const back = (step) => desk.openStep(step);
    const parts = [
      el("h1", { tabindex: "-1", "data-first": true }, "Read it over"),
      el("p", {}, `${page.machine.name}, ${page.procedure.title}. By ${desk.names(check.by) || "nobody yet"}.`),
      list("These failed", groups.failed, back, "failed"),
      unanswered(check, groups.open, back, desk),
      list("Not done", groups.notDone, back),
      list("Read and measured", groups.measured),
      list("Passed", groups.passed),
      people(groups, desk),
    ];
    const remarks = el("textarea", { rows: "3", maxlength: "2000", onchange: () => desk.setRemarks(remarks.value) });
    remarks.value = check.remarks;
    parts.push(field("Remarks on the whole check", remarks, "If you want to add something. Nothing about a patient."));
    const fault = groups.failed.length > 0 ? faultForm(page, check, groups.failed, desk) : null;
    if (fault) parts.push(fault.section);
    parts.push(el("div", { class: "actions" },
      button(fault ? "Save both records" : "Save record", () => save(page, check, groups, fault, desk), { class: "main wide save" }),
      button("Back to the steps, to change an answer", () => desk.show("steps"))));
    return el("section", { class: "ends" }, parts.filter(Boolean));
  }

  /** Sorts the steps by what came of them; in an emergency start the rest is left out, and said so. */
  function sorted(page, check) {
    const groups = { failed: [], open: [], notDone: [], measured: [], passed: [] };
    for (const step of page.steps) {
      const given = check.results[step.place];
      const answer = given ? given.answer : check.emergency ? { "not-done": EMERGENCY } : null;
      const said = answer && judge.say(step, answer);
      const one = { step, answer, earlier: given ? given.earlier : [], words: said ? card.capital(said.headline) : "No answer yet", said };
      if (!said) groups.open.push(one);
      else if (said.verdict === "fail") groups.failed.push(one);
      else if (said.verdict === "not-done") groups.notDone.push(one);
      else if (step.answer === "confirm") groups.passed.push(one);
      else groups.measured.push(one);
    }
    return groups;
  }

  function list(title, group, back, kind) {
    if (group.length === 0) return null;
    const lines = group.map(({ step, earlier, words, said }) => el("li", {},
      el("div", {}, el("strong", {}, step.title), " ", el("span", { class: "told" }, words),
        said && [...said.values, said.reckoned, said.doubt].filter(Boolean).map((line) => el("p", {}, card.capital(line))),
        earlier.map((answer) => el("p", { class: "earlier" }, `Tried before: ${judge.say(step, answer).headline}`))),
      back && button(said ? "Change" : "Answer", () => back(step), { "aria-label": `${said ? "Change" : "Answer"}: ${step.title}` })));
    return el("div", { class: `group ${kind || ""}` }, el("h2", {}, `${title} (${group.length})`), el("ul", {}, lines));
  }

  function unanswered(check, group, back, desk) {
    const shown = list("No answer yet", group, back, "open");
    if (!shown) return null;
    const why = el("input", { type: "text", maxlength: "500", autocomplete: "off", oninput: () => dom.accept(why) });
    const leave = button("Mark these as not done", () => {
      const because = why.value.trim();
      if (because === "") return dom.refuse(why, "say why it was not done");
      return desk.leaveRest(group.map(({ step }) => step), because);
    });
    shown.append(field("Why are they not done?", why), leave);
    return shown;
  }

  function people({ failed, measured, passed }, desk) {
    const missing = [...failed, ...measured, ...passed].filter(({ step }) => desk.whoIsMissing(step));
    if (missing.length === 0) return null;
    const titles = missing.map(({ step }) => `${step.title} (${step.byWords})`).join("; ");
    return el("div", { class: "group" }, el("p", {}, `The people named above do not have the roles that these steps ask for: ${titles}. Name whoever took part, or have them done again.`),
      button("Change the people", () => desk.show("people")));
  }

  // The record of the fault.

  function faultForm(page, check, failed, desk) {
    const withholds = failed.some(({ step }) => step.fails === "withhold");
    const failures = failed.map(({ step, answer }) => `${step.place}: ${answer === "fail" ? answer : judge.seen(answer)}`);
    const written = check.fault;
    // Words and a choice that were meant for other failures must not stand for these.
    const meant = written !== null && written.failures.join("\n") === failures.join("\n");
    const kept = meant ? written : { what: whatFailed(failed), use: withholds ? "withheld" : "restricted", restriction: "", until: "", owner: "" };
    const what = el("textarea", { rows: "3", maxlength: "2000" });
    what.value = kept.what;
    const [withheld, restricted] = ["withheld", "restricted"].map((use) => el("input", { type: "radio", name: "use", value: use, id: dom.id("use") }));
    withheld.checked = kept.use === "withheld";
    restricted.checked = !withheld.checked;
    const restriction = el("input", { type: "text", maxlength: "2000", value: kept.restriction });
    const until = el("input", { type: "date", value: kept.until, min: record.moment(Date.now(), page.zone).slice(0, 10) });
    const owner = el("select", {}, el("option", { value: "" }, "Choose a person"), page.people.map(({ id, name }) => el("option", { value: id }, name)));
    owner.value = kept.owner;
    const more = el("div", { class: "restriction" }, field("What may not be done with it", restriction, "For example: only without the ventilator."),
      field("Until which day", until), field("Who sees to it", owner));
    const read = () => ({ what: what.value, use: withheld.checked ? "withheld" : "restricted", restriction: restriction.value, until: until.value, owner: owner.value, failures });
    const changed = () => {
      more.hidden = withheld.checked;
      desk.setFault(read());
    };
    more.hidden = withheld.checked;
    const section = el("section", { class: "group failed", onchange: changed, oninput: (event) => dom.accept(event.target) },
      el("h2", {}, "Record of the fault"),
      el("p", {}, "A check that failed needs a record of the fault. It is saved together with the check."),
      written && !meant && anew(written), desk.callWords(), field("What is wrong, as seen", what),
      el("fieldset", {}, el("legend", {}, "May the machine be used?"), radio(withheld, "No. It is withheld from use"), radio(restricted, "Only with a restriction")),
      withholds && el("p", { class: "hint" }, "What failed withholds the machine, by the procedure."), more);
    const needed = () => [[what, "say what is wrong"], ...(withheld.checked ? [] : [[restriction, "say what may not be done with it"], [until, "choose a day"], [owner, "choose a person"]])];
    /** Returns whether everything is there; shows what is not. */
    const complete = () => {
      const empty = needed().filter(([input]) => input.value.trim() === "");
      empty.reverse().forEach(([input, sentence]) => dom.refuse(input, sentence));
      if (empty.length > 0) dom.go(empty[empty.length - 1][0].closest(".field"), empty[empty.length - 1][0]);
      return empty.length === 0;
    };
    return { section, read, complete };
  }

  /** Returns the sentence for a record of the fault that begins anew, with what was written before. */
  function anew(written) {
    const before = [written.what, written.restriction].map((words) => words.trim()).filter(Boolean).join("; ");
    return el("div", { class: "notice" }, el("p", {}, el("strong", {}, "What failed has changed since this was written, so it begins afresh. "), "Look at every part of it again."),
      before && el("p", {}, `Written before: ${before}`));
  }

  const radio = (input, words) => el("div", { class: "tick" }, input, el("label", { for: input.id }, words));

  /** Returns what is wrong in words to begin with: each failed step and what was seen. */
  function whatFailed(failed) {
    return failed.map(({ step, answer }) => {
      const each = step.each ? ` (${step.each.replace(/-/g, " ")})` : "";
      return `${step.itemTitle}${each} failed${answer === "fail" ? "" : `: ${judge.seen(answer)}`}`;
    }).join("; ");
  }

  // The files.

  function save(page, check, groups, fault, desk) {
    if (check.by.length === 0) return desk.refusePeople();
    if (groups.open.length > 0) {
      dom.say(`${groups.open.length} steps have no answer yet`);
      return dom.go(document.querySelector(".group.open"), document.querySelector(".group.open button"));
    }
    if (fault && !fault.complete()) return null;
    if (check.emergency) desk.leaveRest(groups.notDone.filter(({ step }) => !check.results[step.place]).map(({ step }) => step), EMERGENCY, true);
    const now = Math.max(Date.now(), check.finished);
    const files = [{ name: record.name(page, check, "check"), text: record.check(page, check, now) }];
    if (fault) {
      const items = groups.failed.map(({ step }) => step.place);
      files.push({ name: record.name(page, check, "fault"), text: record.fault(page, check, fault.read(), items, now) });
    }
    files.forEach(download);
    return desk.saved(files);
  }

  function download({ name, text }) {
    const url = URL.createObjectURL(new Blob([text], { type: "application/yaml" }));
    const link = el("a", { href: url, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    // Slow devices still read it for a while.
    setTimeout(() => URL.revokeObjectURL(url), 60000);
  }

  /** Returns the files with ways to save them again and to read them. */
  function fileList(files) {
    return el("ul", { class: "files" }, files.map((file) => {
      const text = el("textarea", { rows: "12", readonly: true, "aria-label": `Text of ${file.name}`, spellcheck: "false" });
      text.value = file.text;
      return el("li", {}, el("p", { class: "file" }, file.name), button("Save again", () => download(file), { "aria-label": `Save again: ${file.name}` }),
        el("details", {}, el("summary", {}, "Show the text"), text));
    }));
  }

  /** Returns the section that offers what was saved earlier, until the files are where they belong. */
  function savedEarlier(files, inPlace) {
    return el("section", { class: "group", id: "saved-earlier" },
      el("h2", {}, `Saved earlier (${files.length})`),
      el("p", {}, "Look whether these files are in the folder for records to be taken in, such as inbox. What is missing can be saved again."),
      fileList(files),
      el("div", { class: "actions" }, button("The files are in their place", inPlace)));
  }

  /** Says once more what the check came to: whoever reads this screen still has to act on it. */
  function verdict(page, check, desk) {
    const { failed, notDone } = sorted(page, check);
    if (failed.length > 0) {
      const withholds = failed.some(({ step }) => step.fails === "withhold");
      const use = withholds ? "It is to be withheld from use" : "It may be used only with a restriction";
      return el("div", { class: "verdict fail" }, el("p", {}, el("strong", {}, `The check failed: ${failed.map(({ step }) => step.title).join("; ")}. ${use}.`)), desk.callWords());
    }
    const words = notDone.length > 0 ? `The check is not complete: ${notDone.length === 1 ? "1 step" : `${notDone.length} steps`} not done.` : "The check passed.";
    return el("div", { class: `verdict ${notDone.length > 0 ? "not-done" : "pass"}` }, el("p", {}, el("strong", {}, words)));
  }

  /** Returns the section that stands when the records are saved. */
  function saved(page, check, desk) {
    const several = check.saved.length > 1;
    return el("section", { class: "ends" },
      el("h1", { tabindex: "-1", "data-first": true }, several ? "Both records are saved" : "The record is saved"),
      verdict(page, check, desk),
      el("p", {}, `${several ? "They lie" : "It lies"} where this browser puts its downloads. The hospital's records have ${several ? "them" : "it"} only when taken in:`),
      el("ol", { class: "steps" }, el("li", {}, `Move the ${several ? "files" : "file"} into the folder for records to be taken in, such as inbox.`),
        el("li", {}, "On the computer with the logbook, run ", el("code", {}, "pinindex record inbox/"), ".")),
      fileList(check.saved),
      el("p", {}, "If no file was saved, show its text, copy it, and save it under the name above."),
      draft.isKept() && el("p", {}, "This device keeps the texts, and this page offers them, until you say that the files are in their place."),
      el("div", { class: "actions" }, button("Start the next check", desk.startAnew, { class: "main wide" })));
  }

  return { readOver, saved, savedEarlier };
})();
