// What the live view shows: the speed in large figures, a scale with the limit, the
// last 20 s, a warning, and the rows. A speed that is not told is shown as such, and
// so is one that did not come: the last figure never stands still.

import { make } from "./trace.js";
import { tens } from "./words.js";

const byID = (id) => document.getElementById(id);
const span = 20; // s of the past
const tooLate = 1500; // ms from the sound to now after which a speed is no speed now
const silence = 1000; // ms without a reading after which none is shown
const words = { "over-limit": "Over the limit: let go", "let-go": "Let go" };

export class Screen {
  constructor() {
    this.past = [];
    this.rows = new Set();
  }

  problem(text) { byID("live-problem").textContent = text; }

  said(text) {
    byID("live-said").hidden = !text;
    byID("live-said").textContent = text;
  }

  // begin shows a session.
  begin(session) {
    this.session = session;
    this.past = [];
    this.rows.clear();
    this.latest = null;
    byID("row-list").replaceChildren();
    byID("row-says").textContent = "";
    byID("needle").hidden = byID("rows").hidden = false;
    byID("setup").hidden = true;
    byID("keep").hidden = true;
    const draw = () => {
      if (this.session !== session) return;
      this.draw();
      requestAnimationFrame(draw);
    };
    requestAnimationFrame(draw);
  }

  // stopped shows no speed any more; the rows stay.
  stopped() {
    this.session = null;
    byID("setup").hidden = false;
    byID("needle").hidden = true;
    this.sound(false);
  }

  // offer offers to keep a session that is over.
  offer(kept) {
    byID("keep").hidden = kept.rows.length === 0;
    byID("keep-says").textContent = "";
    URL.revokeObjectURL(byID("recording").href);
    const file = kept.recording();
    Object.assign(byID("recording"), { href: URL.createObjectURL(file), download: file.name, textContent: `The recording, ${Math.round(kept.length / kept.rate)} s` });
  }

  // keeps says how far keeping is, or why not.
  keeps(text) { byID("keep-says").textContent = text; }

  reading(r) {
    this.latest = r;
    this.came = performance.now();
    this.fresh = true;
    this.past.push(r);
    while (this.past[0].t_s < r.t_s - span) this.past.shift();
  }

  draw() {
    const r = performance.now() - this.came < silence ? this.latest : null;
    if (r && !this.fresh) return;
    this.fresh = false;
    const late = r && this.session ? this.session.lateness(r.t_s) : 0;
    const behind = late > tooLate;
    const told = r && r.rpm !== null && !behind;
    byID("speed").textContent = told ? tens(r.rpm) : "not told";
    byID("speed").classList.toggle("untold", !told);
    byID("beside").textContent = told ? this.beside(r) : behind ? `${Math.round(late / 1000)} s behind: this device cannot keep up` : "";
    byID("live-level").textContent = r ? r.level : "-";
    const warn = (r && words[r.warn]) || "";
    if (byID("warn").textContent !== warn) byID("warn").textContent = warn;
    this.sound(warn !== "");
    this.scale(told ? r.rpm : null);
    this.trace();
    if (r && r.rpm !== null && this.session) byID("speed").dataset.late = Math.round(late);
  }

  beside(r) {
    const parts = [`± ${tens(Math.max(10, 2 * r.sd_rpm))} rpm (95 %)`];
    const limit = this.session?.limit;
    if (limit) {
      const off = r.rpm - limit;
      if (Math.abs(off) <= 2 * r.sd_rpm) parts.push("at the limit");
      else parts.push(`${tens(Math.abs(off))} ${off > 0 ? "over" : "under"} the limit`);
    }
    if (r.open_s > 0) parts.push(`full throttle ${r.open_s.toFixed(1)} s`);
    return parts.join(" · ");
  }

  // top gives the upper end of scale and trace.
  top() {
    const limit = this.session?.limit;
    return Math.max(limit ? 1.2 * limit : 14000, ...this.past.map((p) => p.rpm ?? 0));
  }

  scale(rpm) {
    const svg = byID("scale"), width = svg.clientWidth, height = svg.clientHeight, top = this.top();
    const x = (v) => v / top * width;
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    svg.replaceChildren(make("line", { x1: 0, x2: width, y1: height - 1, y2: height - 1, class: "axis" }));
    for (let v = 0; v <= top; v += 1000) svg.append(make("line", { x1: x(v), x2: x(v), y1: height - (v % 5000 ? 8 : 16), y2: height, class: "axis" }));
    if (this.session?.limit) {
      const at = x(this.session.limit);
      svg.append(make("line", { x1: at, x2: at, y1: 0, y2: height, class: "limit" }));
      svg.append(make("text", { x: at - 4, y: 14, "text-anchor": "end", class: "limit-word" }, `limit ${tens(this.session.limit)}`));
    }
    if (rpm !== null) svg.append(make("path", { d: `M${x(rpm)} ${height - 2}l-9 -22h18z`, class: "pointer" }));
  }

  trace() {
    const svg = byID("past"), width = svg.clientWidth, height = svg.clientHeight, top = this.top();
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    const end = this.past.at(-1)?.t_s ?? 0;
    const x = (t) => (1 - (end - t) / span) * width, y = (v) => height - v / top * height;
    let path = "", pen = false;
    for (const p of this.past) {
      if (p.rpm !== null) path += `${pen ? "L" : "M"}${x(p.t_s).toFixed(1)} ${y(p.rpm).toFixed(1)}`;
      pen = p.rpm !== null;
    }
    svg.replaceChildren(make("path", { d: path, class: "course" }));
    if (this.session?.limit) svg.append(make("line", { x1: 0, x2: width, y1: y(this.session.limit), y2: y(this.session.limit), class: "limit" }));
  }

  // row adds an opening of the throttle, once, and gives what was noted for it; null: it
  // was there.
  row(r) {
    if (this.rows.has(r.row)) return null;
    const note = byID("note").value;
    this.rows.add(r.row);
    const told = r.sustained_rpm !== null;
    const off = told && r.limit_rpm !== null ? r.sustained_rpm - r.limit_rpm : null;
    const cells = [
      told ? tens(r.sustained_rpm) : "not told", told ? tens(Math.max(10, 2 * r.sd_rpm)) : "",
      off === null ? "" : (off > 0 ? "+" : "-") + tens(Math.abs(off)), told ? `${Math.round(100 * r.four_stroking_share)} %` : "", r.code, note,
    ];
    byID("note").value = "";
    const line = document.createElement("tr");
    const head = document.createElement("th");
    head.scope = "row";
    head.textContent = r.row;
    line.append(head, ...cells.map((text) => Object.assign(document.createElement("td"), { textContent: text })));
    byID("row-list").append(line);
    byID("row-says").textContent = r.says;
    return note;
  }

  // sound sounds a tone while there is a warning, where one is wanted.
  sound(on) {
    on = on && byID("tone").checked;
    if (on === !!this.tone) return;
    if (!on) {
      this.tone.close();
      this.tone = null;
      return;
    }
    this.tone = new AudioContext();
    const tone = new OscillatorNode(this.tone, { frequency: 880 });
    tone.connect(new GainNode(this.tone, { gain: 0.3 })).connect(this.tone.destination);
    tone.start();
  }
}
