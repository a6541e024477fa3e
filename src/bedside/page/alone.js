
// Which tab works on a check: one at a time, so that no tab writes over what was put in in another.
//
// Takes the name of the check and what to do when it is free or taken. Browsers that have locks hold one while the page
// is open; in the others the tab that works leaves a sign of life on the device.

const alone = (() => {
  const BEAT_MS = 1000;
  const STALE_MS = 5000;
  // A page that is loaded again meets the lock of its own past for a moment.
  const PATIENCE_MS = 300;
  let mine = true;
  let look = () => {};

  /** Begins to work on a check: `taken` is told that another tab works on it, `free` that this one may read it afresh. */
  function begin(name, { free, taken }) {
    // A page that the browser had put away and brings back knows nothing of what happened since.
    window.addEventListener("pageshow", (event) => event.persisted && location.reload());
    if (!navigator.locks) return beat(name, free, taken);
    const untilClosed = () => new Promise(() => {});
    const wait = () => {
      mine = false;
      const told = setTimeout(taken, PATIENCE_MS);
      navigator.locks.request(name, () => {
        clearTimeout(told);
        mine = true;
        free();
        return untilClosed();
      });
    };
    return navigator.locks.request(name, { ifAvailable: true }, (lock) => (lock ? untilClosed() : wait()))
      .catch(() => beat(name, free, taken));
  }

  function beat(name, free, taken) {
    const key = `${name}: the tab that works on it`;
    const tab = String(Math.random());
    let begun = false;
    look = () => {
      const found = draft.stored(key);
      const others = found !== null && found.tab !== tab;
      if (others && Math.abs(Date.now() - found.at) < STALE_MS) {
        if (mine) taken();
        mine = false;
        return;
      }
      draft.store(key, { tab, at: Date.now() });
      const afresh = !mine || (begun && others);
      mine = true;
      if (afresh) free();
    };
    look();
    begun = true;
    setInterval(look, BEAT_MS);
    window.addEventListener("pagehide", () => mine && draft.store(key, { tab, at: 0 }));
  }

  /** Returns whether this tab may write. */
  function isMine() {
    look();
    return mine;
  }

  return { begin, isMine };
})();
