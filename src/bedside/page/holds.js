
// Holding something for a time: the clock, and a tone when the time is up.
//
// The clock is one that nobody sets, so that a correction of the device's time falls into no hold.

const holds = (() => {
  let audio = null;

  /**
   * Counts up to a number of seconds, or without end when there is none. `tick` is told the whole seconds gone by, and
   * `over` once when they are over.
   */
  function begin(seconds, tick, over) {
    const started = performance.now();
    const gone = () => Math.floor((performance.now() - started) / 1000);
    let told = -1;
    const timer = setInterval(() => {
      const now = seconds === null ? gone() : Math.min(gone(), seconds);
      if (now !== told) tick(now);
      told = now;
      if (seconds !== null && now >= seconds) {
        clearInterval(timer);
        over();
      }
    }, 100);
    return { gone, stop: () => clearInterval(timer) };
  }

  /** Makes ready to sound: browsers allow it only while something is being pressed. */
  function readySound() {
    const Audio = window.AudioContext || window.webkitAudioContext;
    if (Audio && !audio) audio = new Audio();
    if (audio && audio.state === "suspended") audio.resume();
  }

  /** Sounds one short tone, unlike an alarm. */
  function sound() {
    if (!audio) return;
    const tone = audio.createOscillator();
    const volume = audio.createGain();
    const now = audio.currentTime;
    tone.frequency.value = 523;
    volume.gain.setValueAtTime(0.2, now);
    volume.gain.exponentialRampToValueAtTime(0.001, now + 0.8);
    tone.connect(volume).connect(audio.destination);
    tone.start(now);
    tone.stop(now + 0.8);
  }

  return { begin, readySound, sound };
})();
