// What somebody at the engine does next, by what is heard of it: idle, full throttle,
// let go, idle again. No clock of its own: its seconds are those of the sound, and each
// step waits for what it asked for. It says when to let go, and never that a speed is safe.

const enough = 0.3; // s of idle in which an engine counts as heard
const idle = 3, held = 3.5, after = 3; // s of each step; held counts from the opening on
const longest = 6; // s of full throttle, whatever is heard
const patience = 8; // s without idle after which that is said
const fallen = 0.55; // of the top: the throttle was let go
const lost = 1.5; // s without a speed: nobody knows any more

export class Guide {
  constructor() {
    this.step = "idle"; // idle-heard, open, hold, let-go, idle-again, done
    this.done = 0; // of the step: 0 to 1
    this.late = false; // no idle is heard, though there was time
    this.at = this.idled = this.from = this.told = this.top = 0;
  }

  // next takes the next reading of package live and gives the step that holds then.
  next(r) {
    const dt = Math.max(0, r.heard_s - this.at);
    this.at = r.heard_s;
    if (r.rpm !== null) this.told = this.at;
    const opened = r.open_s > enough;
    switch (this.step) {
      case "idle":
      case "idle-heard":
      case "open":
        if (opened) this.go("hold", 0);
        else this.waits(r, dt);
        break;
      case "hold":
      case "let-go":
        this.holds(r);
        break;
      case "idle-again":
        this.done = (this.at - this.from) / after;
        if (opened) this.go("hold", 0);
        else if (this.done >= 1) this.go("done", 1);
    }
    return this.step;
  }

  go(step, done) {
    if (step === "hold") this.top = 0;
    Object.assign(this, { step, done, from: this.at });
  }

  // waits for the throttle to be opened.
  waits(r, dt) {
    if (r.rpm !== null) this.idled += dt;
    this.late = this.idled < enough && this.at > patience;
    if (this.step === "idle" && this.idled >= enough) this.go("idle-heard", 0);
    if (this.step !== "idle-heard") return;
    this.done = this.idled / idle;
    if (this.done >= 1) this.go("open", 0);
  }

  // holds follows the open throttle until it is let go.
  holds(r) {
    this.top = Math.max(this.top, r.rpm ?? 0);
    const letGo = this.step === "let-go";
    if (r.rpm !== null && r.rpm < fallen * this.top || letGo && this.at - Math.max(this.told, this.from) > lost) {
      return this.go(letGo || this.done >= 1 / held ? "idle-again" : "open", 0);
    }
    if (letGo) return;
    this.done = Math.max(this.done, (r.rpm === null ? this.at - this.from : r.open_s) / held);
    if (this.done >= 1 || r.warn || this.at - this.from >= longest) this.go("let-go", 0);
  }
}
