// The live view: the microphone to whoever listens, and readings and rows onto the
// screen. What is shown is drawn with the next picture of the screen, never for each
// message.

import { canRecord, openMicrophone, sayRefusal } from "./record.js";
import * as machine from "./machine.js";
import { Kept } from "./livekept.js";
import { Screen } from "./livescreen.js";
import { follow } from "./readings.js";
import { sentence } from "./words.js";

const byID = (id) => document.getElementById(id);

const screen = new Screen();
let session = null;
let kept = null; // of the last one

machine.start();
if (!canRecord()) {
  byID("listen").disabled = true;
  screen.problem("This browser lets a page listen only on the computer that runs Topnote, or over https: start it with --tls for that.");
}

byID("engine").addEventListener("submit", async (e) => {
  e.preventDefault();
  const button = byID("listen");
  button.disabled = true;
  if (session) session.stop();
  else await start();
  button.disabled = false;
});

byID("store").addEventListener("click", async () => {
  const machine = byID("machine")?.value;
  if (!machine) return screen.keeps("Choose the machine above that these rows are of; one that is new is entered in the book first.");
  byID("store").disabled = true;
  try {
    const rows = await kept.store(machine, (step) => screen.keeps(step));
    screen.keeps(rows.length ? `In the book of ${machine}: row ${rows.join(", ")}.` : "No row has a speed: nothing was stored.");
  } catch (err) {
    screen.keeps(err.says ? sentence(err) : String(err));
  }
  byID("store").disabled = false;
});

async function start() {
  screen.problem("");
  try {
    const next = new Session(Object.fromEntries(new FormData(byID("engine"))));
    await next.open();
    session = next;
    screen.begin(next);
    byID("listen").textContent = "Stop";
  } catch (err) {
    screen.problem(sayRefusal(err));
  }
}

// Session is one stretch of listening: a microphone, and its readings.
class Session {
  constructor(engine) {
    this.engine = engine;
    this.limit = Number(String(engine.limit).replace(/[^0-9]/g, ""));
  }

  async open() {
    this.microphone = await openMicrophone(() => {});
    const changed = this.microphone.changed;
    screen.said(changed.length ? `This browser changes the sound although it was asked not to (${changed.join(", ")}): speeds hold, but levels may not.` : "");
    this.kept = kept = new Kept(this.engine, this.microphone);
    this.readings = follow(this.engine, this.microphone, (message) => this.hear(message));
  }

  hear(message) {
    if (message.kind === "reading") return screen.reading(message);
    if (message.kind === "row") {
      const note = screen.row(message);
      if (note !== null) this.kept.row(message, note);
      return;
    }
    if (message.kind === "problem") screen.problem(message.says);
    this.end();
  }

  // lateness gives the ms from when the sound of an instant came to now.
  lateness(t) { return this.readings.lateness(t); }

  // stop takes no more sound; what is open is measured.
  stop() {
    this.microphone.close();
    this.readings.done();
    screen.stopped();
  }

  end() {
    this.microphone.close();
    screen.stopped();
    screen.offer(this.kept);
    if (session === this) session = null;
    byID("listen").textContent = "Listen";
  }
}
