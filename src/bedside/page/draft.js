
// What the device keeps: the unfinished check, and the texts of saved records until they are where they belong.
//
// A check is kept under the code of the form, so that a page which asks for other things never meets answers it did not
// ask for. Saved records are kept for all forms together: a page made anew still offers them. Where the device keeps
// nothing, the page works all the same and says so.

const draft = (() => {
  const VERSION = 1;
  const PEOPLE = "pinindex page: people last time";
  const SAVED = "pinindex page: saved records";
  const PEOPLE_KEPT_MS = 7 * 24 * 60 * 60 * 1000;
  const LAST_INSTANT = 8.64e15;
  let name = "";
  let kept = true;
  let unstored = [];

  /** Returns a check in which nothing was put in yet. */
  const fresh = () => ({
    version: VERSION, by: [], started: null, finished: null, results: {}, emergency: false, remarks: "", fault: null,
    saved: null, sound: false,
  });

  function text(key) {
    try {
      return localStorage.getItem(key);
    } catch {
      return null;
    }
  }

  /** Returns what is kept under a key, or nothing where it cannot be read. */
  function stored(key) {
    try {
      return JSON.parse(text(key));
    } catch {
      return null;
    }
  }

  /** Keeps a value under a key. Returns whether the device took it. */
  function store(key, value) {
    try {
      localStorage.setItem(key, JSON.stringify(value));
      return true;
    } catch {
      return false;
    }
  }

  // What fits.

  const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
  const isText = (value) => typeof value === "string";
  const isInstant = (value) => Number.isFinite(value) && Math.abs(value) < LAST_INSTANT;
  const isTexts = (value) => Array.isArray(value) && value.every(isText);
  const isFiles = (value) => Array.isArray(value) && value.every((file) => isObject(file) && isText(file.name) && isText(file.text));

  function canBeSaid(step, answer) {
    try {
      return isText(judge.say(step, answer).verdict);
    } catch {
      return false;
    }
  }

  function isResult(step, result) {
    return isObject(result) && isText(result.remark) && Array.isArray(result.earlier)
      && [result.answer, ...result.earlier].every((answer) => canBeSaid(step, answer));
  }

  function isFault(fault) {
    return isObject(fault) && [fault.what, fault.use, fault.restriction, fault.until, fault.owner].every(isText) && isTexts(fault.failures);
  }

  /** Returns whether a value is a check of these steps that the page can show. */
  function isCheck(found, steps) {
    if (!isObject(found) || found.version !== VERSION || !isTexts(found.by) || !isObject(found.results)) return false;
    const answered = steps.filter((step) => found.results[step.place] !== undefined);
    const timed = answered.length > 0 || found.saved !== null;
    return (found.started === null ? !timed : isInstant(found.started))
      && (found.finished === null ? !timed : isInstant(found.finished))
      && answered.every((step) => isResult(step, found.results[step.place]))
      && typeof found.emergency === "boolean" && typeof found.sound === "boolean" && isText(found.remarks)
      && (found.fault === null || isFault(found.fault)) && (found.saved === null || isFiles(found.saved));
  }

  // The check.

  /** Returns the name under which the check of a form is kept. */
  const nameOf = (code) => `pinindex page: check ${code}`;

  /** Returns what is kept for a form, or a fresh check; and the text that was put aside because it is no check. */
  function begin(page) {
    name = nameOf(page.code);
    kept = store("pinindex page: does it keep", 1);
    const was = text(name);
    const found = stored(name);
    if (was === null || isCheck(found, page.steps)) return { check: found || fresh(), aside: null };
    store(`${name}: put aside ${new Date().toISOString()}`, was);
    store(name, fresh());
    return { check: fresh(), aside: was };
  }

  /** Keeps a check on the device. */
  function keep(check) {
    kept = store(name, check);
  }

  /** Returns whether the device keeps what is put in. */
  const isKept = () => kept;

  // Saved records.

  /** Returns the files that were saved and of which nobody said yet that they are where they belong. */
  function savedEarlier() {
    const files = stored(SAVED);
    return [...(Array.isArray(files) ? files.filter((file) => isFiles([file])) : []), ...unstored];
  }

  /** Keeps files on the device, or as long as the page is open where the device takes no more. */
  function keepAll(files) {
    unstored = [];
    if (store(SAVED, files)) return;
    const before = savedEarlier();
    unstored = files.filter((file) => !before.some((one) => same(one, file)));
  }

  const same = (one, other) => one.name === other.name && one.text === other.text;

  /** Keeps the files of a check beside those saved earlier. */
  function keepSaved(files) {
    const names = files.map((file) => file.name);
    keepAll([...savedEarlier().filter((file) => !names.includes(file.name)), ...files]);
  }

  /** Forgets files: they are where they belong. */
  const forgetSaved = (files) => keepAll(savedEarlier().filter((file) => !files.some((one) => same(one, file))));

  // The people.

  /** Returns who checked last time on this device, for a week; nobody is chosen by that. */
  function lastPeople() {
    const last = stored(PEOPLE);
    return isObject(last) && isTexts(last.by) && Date.now() - last.at < PEOPLE_KEPT_MS ? last.by : [];
  }

  const keepPeople = (by) => store(PEOPLE, { by, at: Date.now() });

  return { fresh, stored, store, nameOf, begin, keep, isKept, savedEarlier, keepSaved, forgetSaved, lastPeople, keepPeople };
})();
