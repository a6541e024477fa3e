
// The unfinished check: what was put in so far, kept on the device until its record is saved.
//
// It is kept under the code of the form, so that a page which asks for other things never meets answers it did not ask
// for. Where the device keeps nothing, the page works all the same and says so.

const draft = (() => {
  const VERSION = 1;
  const PEOPLE = "pinindex page: people last time";
  const PEOPLE_KEPT_MS = 7 * 24 * 60 * 60 * 1000;
  let name = "";
  let kept = true;

  /** Returns a check in which nothing was put in yet. */
  const fresh = () => ({
    version: VERSION, by: [], started: null, finished: null, results: {}, emergency: false, remarks: "", fault: null,
    saved: null, sound: false,
  });

  function stored(key) {
    try {
      return JSON.parse(localStorage.getItem(key));
    } catch {
      return null;
    }
  }

  function store(key, value) {
    try {
      localStorage.setItem(key, JSON.stringify(value));
      return true;
    } catch {
      return false;
    }
  }

  /** Returns what is kept for a form, or a fresh check. */
  function begin(code) {
    name = `pinindex page: check ${code}`;
    kept = store("pinindex page: does it keep", 1);
    const found = stored(name);
    return found && found.version === VERSION ? found : fresh();
  }

  /** Keeps a check on the device. */
  function keep(check) {
    kept = store(name, check);
  }

  /** Returns whether the device keeps what is put in. */
  const isKept = () => kept;

  /** Returns who checked last time on this device, for a week; nobody is chosen by that. */
  function lastPeople() {
    const last = stored(PEOPLE);
    return last && Date.now() - last.at < PEOPLE_KEPT_MS ? last.by : [];
  }

  const keepPeople = (by) => store(PEOPLE, { by, at: Date.now() });

  return { fresh, begin, keep, isKept, lastPeople, keepPeople };
})();
