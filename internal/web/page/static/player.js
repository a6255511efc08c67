// The sound of one pass or of two, with one position in time. Of two, one
// plays; a change goes on at the same time of the other, counted from the opening of
// the throttle. Slowed down, the pitch falls as on a tape, so that single firings
// can be told apart; it can be kept instead.

import { within } from "./align.js";

const sparingStep = 250; // ms between moves of the cursor where motion is to be spared

export class Player extends EventTarget {
  // sounds are the audio elements, passes their readings, offsets the openings.
  constructor(sounds, passes, offsets) {
    super();
    Object.assign(this, { sounds, passes, offsets, heard: 0, watching: false });
    this.sparing = matchMedia("(prefers-reduced-motion: reduce)");
    sounds.forEach((sound, i) => {
      sound.preservesPitch = false;
      for (const event of ["play", "pause", "ended"]) {
        sound.addEventListener(event, () => { if (i === this.heard) this.changed(); });
      }
      sound.addEventListener("error", () => this.fallBack(sound));
    });
  }

  // fallBack plays the sound that was measured where the browser cannot play the
  // recording.
  fallBack(sound) {
    const { plain } = sound.dataset;
    if (plain && !sound.src.endsWith(plain)) sound.src = plain;
    else this.dispatchEvent(new Event("broken"));
  }

  get playing() { return !this.sounds[this.heard].paused; }
  get time() { return this.sounds[this.heard].currentTime - this.offsets[this.heard]; }

  changed() {
    this.dispatchEvent(new Event("change"));
    if (!this.watching) this.watch();
  }

  // watch reports the position while the sound plays; only one runs at a time.
  watch() {
    this.watching = this.playing;
    if (!this.watching) return;
    if (this.part && (this.time > this.part[1] || this.time < this.part[0] - 0.1)) this.seek(this.part[0]);
    this.dispatchEvent(new Event("move"));
    if (this.sparing.matches) setTimeout(() => this.watch(), sparingStep);
    else requestAnimationFrame(() => this.watch());
  }

  // loop plays only a part of the common axis, again and again; null for all of it.
  loop(part) {
    this.part = part;
    if (part) this.seek(part[0]);
    this.changed();
  }

  // seek goes to a time of the common axis.
  seek(t) {
    this.sounds.forEach((sound, i) => { sound.currentTime = within(t + this.offsets[i], this.passes[i]); });
  }

  async toggle() {
    const sound = this.sounds[this.heard];
    if (this.playing) return sound.pause();
    try {
      await sound.play();
    } catch (err) {
      if (err.name !== "AbortError") this.dispatchEvent(new Event("broken"));
    }
  }

  // hear changes to another of the passes at the same time.
  hear(which) {
    if (which === this.heard) return;
    const went = this.playing, at = this.time;
    this.sounds[this.heard].pause();
    this.heard = which;
    this.sounds[which].currentTime = within(at + this.offsets[which], this.passes[which]);
    if (went) this.toggle();
    this.changed();
  }

  set rate(rate) { this.sounds.forEach((sound) => { sound.defaultPlaybackRate = sound.playbackRate = rate; }); }
  set keepsPitch(keep) { this.sounds.forEach((sound) => { sound.preservesPitch = keep; }); }
}

// bindSpeeds makes buttons for slower playing: pressed is on, one at a time.
export function bindSpeeds(player, buttons, pitch) {
  const press = (button, on) => button.setAttribute("aria-pressed", String(on));
  const pressed = (button) => button.getAttribute("aria-pressed") === "true";
  for (const [button, rate] of buttons) {
    button.addEventListener("click", () => {
      const on = !pressed(button);
      for (const [other] of buttons) press(other, other === button && on);
      player.rate = on ? rate : 1;
      pitch.hidden = !on;
    });
  }
  pitch.addEventListener("click", () => {
    press(pitch, !pressed(pitch));
    player.keepsPitch = pressed(pitch);
  });
}

// bindPlay keeps a button in step with the player.
export function bindPlay(player, button, problem) {
  button.addEventListener("click", () => player.toggle());
  player.addEventListener("change", () => { button.textContent = player.playing ? "Pause" : "Play"; });
  player.addEventListener("broken", () => {
    problem.textContent = "This browser cannot play the sound of this recording; the figures stand all the same.";
  });
}
