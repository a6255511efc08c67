// Sound to readings: what a microphone gives goes in, and the messages of package live
// come back. Nothing else on the pages knows how that is done. Sound goes into a queue
// as it comes and from there to the server's socket; a socket that is lost is opened
// again with the same session, and what could not be sent yet follows.

import { address } from "./address.js";

const pieceMS = 20; // of sound in a message
const longestGap = 20; // s of sound that waits for a socket
const again = 500; // ms to the next try
const lastWords = 10000; // ms that the end may take

// available says whether this page has somebody who listens: its server told it so.
export const available = () => document.querySelector("[data-listens]") !== null;

// Readings is one stretch of listening. engine has the fields of a form, rate is that of
// the sound in samples a second. heard is called with each message: of kind "reading",
// "row", "problem" (says and code; nothing comes after it) or "end" (after done).
export class Readings {
  constructor(engine, rate, heard) {
    Object.assign(this, { engine, rate, heard });
    this.id = Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
    this.queue = []; // of sound that was not sent
    this.captured = 0; // samples
    this.arrivals = []; // when each piece came: its last sample, and the time
    this.piece = new Int16Array(Math.round(rate * pieceMS / 1000));
    this.filled = 0;
    this.connect();
  }

  // take takes a block of the microphone, a Float32Array.
  take(block) {
    if (this.ending) return;
    for (const v of block) {
      this.piece[this.filled++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
      if (this.filled < this.piece.length) continue;
      this.captured += this.filled;
      this.arrivals.push({ sample: this.captured, at: performance.now() });
      if (this.arrivals.length > 500) this.arrivals.splice(0, 250);
      this.queue.push(this.piece.slice().buffer);
      this.filled = 0;
    }
    if (this.queue.length * pieceMS > longestGap * 1000) this.end({ kind: "problem", code: "lost", says: "The connection was lost for too long. Start again." });
    else this.send();
  }

  // done takes no more sound; what is open is measured, and then "end" is heard.
  done() {
    if (this.ending) return;
    this.ending = true;
    this.send();
    if (this.greeted?.readyState === WebSocket.OPEN) this.greeted.send("done");
    setTimeout(() => this.end({ kind: "end" }), lastWords);
  }

  // close gives up; nothing is heard any more.
  close() {
    this.ending = this.over = true;
    if (this.greeted?.readyState === WebSocket.OPEN) this.greeted.send("done"); // it need not be kept for us
    this.socket.close();
  }

  // lateness gives the ms from when the sound of an instant came to now.
  lateness(t) {
    const sample = t * this.rate;
    const piece = this.arrivals.find((a) => a.sample >= sample);
    return piece ? performance.now() - piece.at + (piece.sample - sample) / this.rate * 1000 : NaN;
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
