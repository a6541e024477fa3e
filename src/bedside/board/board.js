
"use strict";
(() => {
  const MINUTE = 60;
  const HOUR = 60 * MINUTE;
  // A board is made anew with each record. Hours without one are a sign that it is made no more.
  const OLD_AFTER = 4 * HOUR;
  // Clocks of a screen and of a computer differ by a little; more than this is told.
  const CLOCKS_DIFFER = 5 * MINUTE;
  // Whoever reads by keyboard or by ear is not interrupted by a reload.
  const LEFT_ALONE = 2 * MINUTE;
  const RELOAD = MINUTE;

  const made = Number(document.body.dataset.made);
  const dayEnds = Number(document.body.dataset.dayEnds);
  const at = document.body.dataset.at;
  const title = document.title;
  const opened = Date.now() / 1000;
  let touched = 0;

  const words = (seconds) => {
    const minutes = Math.floor(seconds / MINUTE);
    if (minutes < 1) return "less than a minute";
    if (minutes < 60) return `${minutes} min`;
    const hours = Math.floor(seconds / HOUR);
    if (hours < 48) return `${hours} h`;
    return `${Math.floor(hours / 24)} days`;
  };

  const put = (id, text) => {
    const place = document.getElementById(id);
    if (place.textContent !== text) place.textContent = text;
    place.hidden = text === "";
  };

  const look = () => {
    const now = Date.now() / 1000;
    const age = now - made;
    let old = "";
    if (age < -CLOCKS_DIFFER) {
      old = `This board is ${words(-age)} ahead of this screen's clock: one of the two clocks is wrong`;
    } else if (age >= OLD_AFTER) {
      old = `THIS BOARD IS OLD (${words(age)}): ask for a new one`;
    } else if (now >= dayEnds) {
      old = "THIS BOARD IS OF YESTERDAY: ask for a new one";
    }
    if (old !== "" && !document.body.classList.contains("old")) {
      document.body.classList.add("old");
      document.title = `OLD: ${title}`;
      for (const state of document.querySelectorAll(".state span")) {
        state.textContent = `At ${at}: ${state.textContent.toLowerCase()}`;
      }
    }
    put("old", old);
    put("age", age < MINUTE ? "Made just now" : `Made ${words(age)} ago`);
    if (now - opened >= RELOAD && now - touched >= LEFT_ALONE) location.reload();
  };

  for (const act of ["keydown", "pointerdown", "wheel", "touchstart"]) {
    addEventListener(act, () => { touched = Date.now() / 1000; }, { passive: true });
  }
  look();
  setInterval(look, 5000);
})();
