// A session of the live view that is kept: its sound, and of each row the stretch that it
// was measured from, with the screws as they were. Into the book a row goes as any
// recording does: it is sent, measured and stored as a pass.

import { address } from "./address.js";
import * as day from "./day.js";
import { Failure, forget, measure } from "./send.js";
import { wavFile } from "./wav.js";

const longest = 600; // s of sound: 60 MB
const before = 3; // s of idle before an opening, as in package live
const setting = /^(h|l|idle)\s+(\d+(?:\.\d+)?|\d+\/\d+|\d+\s+\d+\/\d+)$/i;

export class Kept {
  // engine has the fields of a form, and microphone is open.
  constructor(engine, microphone) {
    Object.assign(this, { engine, rate: microphone.rate, pieces: [], length: 0, dropped: 0, rows: [], screws: {}, last: 0, began: new Date() });
    microphone.hear((block) => this.take(block));
  }

  // take takes a block of the microphone, a Float32Array.
  take(block) {
    this.pieces.push(Int16Array.from(block, (v) => Math.max(-32768, Math.min(32767, Math.round(32768 * v)))));
    this.length += block.length;
    while (this.length > longest * this.rate) {
      const first = this.pieces.shift().length;
      this.length -= first;
      this.dropped += first;
    }
  }

  // cut gives the sound between two times in s, as far as it is still kept.
  cut(from, to) {
    const [a, b] = [from, to].map((t) => Math.round(t * this.rate) - this.dropped);
    const cut = [];
    let at = 0;
    for (const piece of this.pieces) {
      if (at < b && at + piece.length > a) cut.push(piece.subarray(Math.max(0, a - at), Math.min(piece.length, b - at)));
      at += piece.length;
    }
    return cut;
  }

  // row takes a row, and what was noted for it. "H 1 1/8" sets a screw from there on.
  row(r, note) {
    for (const part of note.split(/[,;]/)) {
      const [, name, turns] = part.trim().match(setting) ?? [];
      if (name) this.screws[`${name.toLowerCase()}_turns`] = turns;
    }
    const sound = this.cut(Math.max(this.last, r.from_s - before), r.heard_s);
    this.last = r.to_s;
    this.rows.push({
      number: r.row, told: r.sustained_rpm !== null, screws: { ...this.screws }, recorded: new Date(this.began.getTime() + 1000 * r.let_go_s),
      file: wavFile(sound, this.rate, `${this.name()}, opening ${r.row}.wav`),
    });
  }

  name() { return `live ${day.local(this.began).replace("T", " ").replace(":", ".")}`; }

  // recording gives all of the sound as a file.
  recording() { return wavFile(this.pieces, this.rate, `${this.name()}.wav`); }

  // store stores the rows that have a speed and are not in the book yet as passes of a
  // machine, one after the other. report is called with what goes on.
  async store(machine, report) {
    for (const row of this.rows.filter((r) => r.told && !r.stored)) {
      const form = new FormData();
      for (const [name, value] of Object.entries({ ...this.engine, machine })) form.set(name, value);
      form.set("clip", row.file);
      const id = await measure(form, (step) => report(`Row ${row.number}: ${step}`));
      try {
        await pass(machine, { clip: id, recorded: row.recorded.toISOString(), screws: row.screws });
      } finally {
        forget(id);
      }
      row.stored = true;
    }
    return this.rows.filter((r) => r.stored).map((r) => r.number);
  }
}

// pass stores a measured clip as a pass.
async function pass(machine, body) {
  const answer = await fetch(address(`/api/v1/machines/${encodeURIComponent(machine)}/passes`), {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
  });
  if (!answer.ok) throw new Failure((await answer.json()).error);
}
