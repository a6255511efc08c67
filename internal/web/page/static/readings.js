// Sound to readings: what a microphone gives goes in, and the messages of package live
// come back. Nothing else on the pages knows how that is done: by a socket to a server,
// or, on a phone alone, by a worker.

import { address } from "./address.js";
import { sentence } from "./words.js";

const pieceMS = 20; // of sound in a message
const longestGap = 20; // s of sound that waits for a socket
const again = 500; // ms to the next try
const lastWords = 10000; // ms that the end may take
const ended = { kind: "problem", code: "ended", says: "The program does not answer any more. Close the page, and open it again." };

// follow begins a stretch of listening to a microphone, which stays its owner's to close.
// engine has the fields of a form. heard is called with each message: of kind "reading",
// "row", "problem" (says and code; nothing comes after it) or "end" (after done). It gives
// done, after which what is open is measured and "end" is heard, close, which gives up,
// and lateness(t), the ms from when the sound of a time of a reading came to now.
export function follow(engine, microphone, heard) {
  return window === window.parent ? new Socket(engine, microphone, heard) : new Apart(engine, microphone, heard);
}

// Readings is what does not depend on the way.
class Readings {
  constructor(engine, microphone, heard) {
    Object.assign(this, { engine, heard, rate: microphone.rate });
    this.captured = 0; // samples
    this.arrivals = []; // when each piece came: its last sample, and the time
  }

  // arrived notes when so many samples have come.
  arrived(samples) {
    this.captured += samples;
    this.arrivals.push({ sample: this.captured, at: performance.now() });
    if (this.arrivals.length > 4000) this.arrivals.splice(0, 2000);
  }

  done() {
    if (this.ending) return;
    this.ending = true;
    this.finish();
    setTimeout(() => this.end({ kind: "end" }), lastWords);
  }

  close() {
    this.ending = this.over = true;
    this.release();
  }

  lateness(t) {
    const sample = t * this.rate;
    const piece = this.arrivals.find((a) => a.sample >= sample);
    return piece ? performance.now() - piece.at + (piece.sample - sample) / this.rate * 1000 : NaN;
  }

  hear(message) {
    if (this.over) return;
    if (message.kind === "problem") this.end(message);
    else this.heard(message);
  }

  // end ends it with its last message.
  end(message) {
    if (this.over) return;
    this.close();
    this.heard(message);
  }
}

// Socket sends to a server. Sound goes into a queue as it comes and from there to the
// socket; a socket that is lost is opened again with the same session, and what could not
// be sent yet follows.
class Socket extends Readings {
  constructor(engine, microphone, heard) {
    super(engine, microphone, heard);
    this.id = Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
    this.queue = []; // of sound that was not sent
    this.piece = new Int16Array(Math.round(this.rate * pieceMS / 1000));
    this.filled = 0;
    microphone.hear((block) => this.take(block));
    this.connect();
  }

  // take takes a block of the microphone, a Float32Array.
  take(block) {
    if (this.ending) return;
    this.arrived(block.length);
    for (const v of block) {
      this.piece[this.filled++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
      if (this.filled < this.piece.length) continue;
      this.queue.push(this.piece.slice().buffer);
      this.filled = 0;
    }
    if (this.queue.length * pieceMS > longestGap * 1000) this.end({ kind: "problem", code: "lost", says: "The connection was lost for too long. Start again." });
    else this.send();
  }

  finish() {
    this.send();
    if (this.greeted?.readyState === WebSocket.OPEN) this.greeted.send("done");
  }

  // release tells the server that nobody comes back, so that it does not wait for it.
  release() {
    if (this.greeted?.readyState === WebSocket.OPEN) this.greeted.send("done");
    this.socket.close();
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
      if (this.ending && e.code === 1000) this.end({ kind: "end" });
      else setTimeout(() => this.over || this.connect(), again);
    });
  }

  // send sends what waits, as long as there is a socket that takes it.
  send() {
    const socket = this.greeted;
    while (this.queue.length && socket?.readyState === WebSocket.OPEN && socket.bufferedAmount < 1 << 20) socket.send(this.queue.shift());
  }
}

// Apart has a worker of its own, which gets the sound straight from the audio thread, so
// that neither this page nor a measurement keeps it waiting. The rows are measured by the
// program that answers the pages.
class Apart extends Readings {
  constructor(engine, microphone, heard) {
    super(engine, microphone, heard);
    this.rows = Promise.resolve();
    const sound = new MessageChannel();
    microphone.hearToo(sound.port1, (block) => this.arrived(block.length));
    this.worker = new Worker(new URL("../../listener.js", import.meta.url), { type: "module" });
    this.worker.onmessage = ({ data }) => this.told(data);
    this.worker.onerror = () => this.end(ended);
    this.begin(sound.port2).catch(() => this.end(ended));
  }

  // begin has the worker read the form by itself, so that it need not wait for the program
  // that answers the pages; what is entered in the book only that one knows.
  async begin(sound) {
    const machine = this.engine.machine ? await this.ask("/live/machine", JSON.stringify(this.engine)) : null;
    const module = await window.parent.topnoteListen;
    if (this.over) return;
    this.worker.postMessage({ module, first: window.parent.topnoteFirst, engine: this.engine, machine, rate: this.rate, sound }, [sound]);
  }

  told(data) {
    if (data.told) this.hear(data.told);
    else if (data.problem) this.end({ kind: "problem", code: data.problem.code, says: sentence(data.problem) });
    else if (data.opening) this.rows = this.rows.then(() => this.measure(data)).catch(() => this.end(ended));
    else this.rows.then(() => this.end({ kind: "end" }));
  }

  async measure({ opening, sound }) {
    const query = new URLSearchParams({ listening: JSON.stringify({ engine: this.engine, rate: this.rate }), opening: JSON.stringify(opening) });
    const row = await this.ask(`/live/row?${query}`, sound);
    if (row) this.hear(row);
  }

  // ask gives the answer of the program; a refusal ends the listening.
  async ask(path, body) {
    const answer = await fetch(address(path), { method: "POST", body });
    const v = await answer.json();
    if (answer.ok) return v;
    this.end({ kind: "problem", code: v.error.code, says: sentence(v.error) });
    return null;
  }

  finish() { this.worker.postMessage({ done: true }); }
  release() { this.worker.terminate(); }
}
