// The guide of a pass over the whole screen, to be understood from three metres: one
// word, a colour, a tone and a vibration for each step, a bar that fills, and whether the
// sound is fit to be measured. The tone is above all that is measured, so that the
// recording is none the worse for it.

import { tens } from "./words.js";

const byID = (id) => document.getElementById(id);
const stale = 2000; // ms without a reading after which nothing is guided
const pitch = 5000; // Hz; sound is measured below 4,000
const beep = 0.12, loud = 0.4; // s, of full scale

// Of each step: the word, what to do, and how many beeps and pulses it begins with.
const says = {
  "idle": ["Idle", "Let it idle.", 0],
  "idle-heard": ["Idle heard", "Keep it idling.", 1],
  "open": ["Open", "Full throttle, without load.", 2],
  "hold": ["Hold", "Keep it fully open.", 0],
  "let-go": ["Let go", "Let go of the throttle at once.", 3],
  "idle-again": ["Idle again", "Let it idle once more.", 1],
  "done": ["Measuring", "The pass is recorded.", 2],
  "alone": ["Recording", "Idle 3 s, full throttle without load 3 s, let go at once, idle 3 s. Then stop.", 0],
};

export class GuideScreen {
  // open shows it; it must be called while the finger is on the button.
  open(step) {
    this.step = this.reading = null;
    this.tones = new AudioContext();
    byID("guide-speed").textContent = "";
    for (const button of ["guide-stop", "guide-drop"]) byID(button).disabled = false;
    this.problem("");
    byID("guide").showModal();
    this.show(step, 0);
  }

  // show shows a step, done from 0 to 1; more is said below it in place of what to do.
  show(step, done, more = "") {
    const [word, todo, signals] = says[step];
    byID("guide-bar").value = done;
    put("guide-do", more || todo);
    if (step === this.step) return;
    this.step = step;
    byID("guide").dataset.step = step;
    put("guide-step", word);
    byID("guide-bar").hidden = step === "alone";
    this.signal(signals);
  }

  // hear shows what a guide made of a reading.
  hear(guide, r) {
    this.heard = performance.now();
    byID("guide-speed").textContent = r.rpm === null ? "" : `${tens(r.rpm)} rpm`;
    const more = r.warn === "over-limit" ? "Over the limit: let go." :
      guide.late ? "No idle is heard yet. Lay the phone nearer, or open the throttle." : "";
    this.show(guide.step, guide.done, more);
  }

  // tick shows the sound: seconds and loudness. It gives whether readings still come.
  tick(elapsed, level, verdict) {
    byID("clock").textContent = `${Math.floor(elapsed)} s`;
    byID("level").value = level;
    put("level-says", verdict);
    byID("guide").dataset.level = verdict;
    if (this.step !== "alone" && this.step !== "done" && performance.now() - (this.heard ?? Infinity) > stale) this.show("alone", 0);
  }

  problem(text) { put("guide-problem", text); }

  // measuring stays until the verdict is there.
  measuring() {
    this.show("done", 1);
    byID("guide-speed").textContent = "";
    for (const button of ["guide-stop", "guide-drop"]) byID(button).disabled = true;
  }

  close() {
    byID("guide").close();
    this.tones?.close();
    this.tones = null;
  }

  // signal sounds and shakes so many times.
  signal(times) {
    if (!times) return;
    navigator.vibrate?.(Array.from({ length: 2 * times - 1 }, () => 1000 * beep));
    for (let i = 0; i < times; i++) {
      const from = this.tones.currentTime + 2 * i * beep;
      const tone = new OscillatorNode(this.tones, { frequency: pitch }), gain = new GainNode(this.tones, { gain: 0 });
      gain.gain.setTargetAtTime(loud, from, beep / 20); // edges that do not click
      gain.gain.setTargetAtTime(0, from + beep, beep / 20);
      tone.connect(gain).connect(this.tones.destination);
      tone.start(from);
      tone.stop(from + 2 * beep);
    }
  }
}

function put(id, text) { if (byID(id).textContent !== text) byID(id).textContent = text; }
