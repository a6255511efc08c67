// The live view: the microphone to the server and readings back. Sound goes into a
// queue as it comes and from there to the socket; a socket that is lost is opened
// again with the same session, and what could not be sent yet follows. What is shown
// is drawn with the next picture of the screen, never for each message.

import { address } from "./address.js";
import { canRecord, openMicrophone, sayRefusal } from "./record.js";
import * as machine from "./machine.js";
import { Screen } from "./livescreen.js";

const byID = (id) => document.getElementById(id);
const pieceMS = 20; // of sound in a message
const longestGap = 20; // s of sound that waits for a socket
const again = 500; // ms to the next try

const screen = new Screen();
let session = null;

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

// Session is one stretch of listening, over as many sockets as it takes.
class Session {
  constructor(engine) {
    this.engine = engine;
    this.limit = Number(String(engine.limit).replace(/[^0-9]/g, ""));
    this.id = Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
    this.queue = []; // of sound that was not sent
    this.captured = 0; // samples
    this.arrivals = []; // when each piece came: its last sample, and the time
    this.ending = false;
  }

  async open() {
    this.microphone = await openMicrophone((block) => this.take(block));
    this.rate = this.microphone.rate;
    this.piece = new Int16Array(Math.round(this.rate * pieceMS / 1000));
    this.filled = 0;
    const changed = this.microphone.changed;
    screen.said(changed.length ? `This browser changes the sound although it was asked not to (${changed.join(", ")}): speeds hold, but levels may not.` : "");
    this.connect();
  }

  // take puts a block of the microphone into the queue.
  take(block) {
    if (this.ending || !this.piece) return;
    for (const v of block) {
      this.piece[this.filled++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
      if (this.filled < this.piece.length) continue;
      this.captured += this.filled;
      this.arrivals.push({ sample: this.captured, at: performance.now() });
      if (this.arrivals.length > 500) this.arrivals.splice(0, 250);
      this.queue.push(this.piece.slice().buffer);
      this.filled = 0;
    }
    if (this.queue.length * pieceMS > longestGap * 1000) {
      screen.problem("The connection was lost for too long. Start again.");
      this.end();
    }
    this.send();
  }

  connect() {
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(`${scheme}//${location.host}${address("/live/sound")}`);
    this.socket = socket;
    socket.addEventListener("open", () => {
      socket.send(JSON.stringify({ session: this.id, rate: this.rate, engine: this.engine }));
      this.greeted = socket;
      this.send();
      if (this.ending) socket.send("done");
    });
    socket.addEventListener("message", ({ data }) => this.hear(JSON.parse(data)));
    socket.addEventListener("close", (e) => {
      if (socket !== this.socket || this.over) return;
      if (this.ending && e.code === 1000) this.end();
      else setTimeout(() => this.over || this.connect(), again);
    });
  }

  // send sends what waits, as long as there is a socket that takes it.
  send() {
    const socket = this.greeted;
    while (this.queue.length && socket?.readyState === WebSocket.OPEN && socket.bufferedAmount < 1 << 20) socket.send(this.queue.shift());
  }

  hear(message) {
    if (message.kind === "reading") screen.reading(message);
    else if (message.kind === "row") screen.row(message);
    else {
      screen.problem(message.says);
      this.end();
    }
  }

  // lateness gives the ms from when the sound of an instant came to now.
  lateness(t) {
    const sample = t * this.rate;
    const piece = this.arrivals.find((a) => a.sample >= sample);
    return piece ? performance.now() - piece.at + (piece.sample - sample) / this.rate * 1000 : NaN;
  }

  // stop takes no more sound; the server measures what is open, and hangs up.
  stop() {
    this.ending = true;
    this.microphone.close();
    this.send();
    if (this.greeted?.readyState === WebSocket.OPEN) this.greeted.send("done");
    setTimeout(() => this.over || this.end(), 10000);
    screen.stopped();
  }

  end() {
    this.over = true;
    this.ending = true;
    this.microphone.close();
    this.socket.close();
    screen.stopped();
    if (session === this) session = null;
    byID("listen").textContent = "Listen";
  }
}
