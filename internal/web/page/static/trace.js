// The speed of one pass or two over time, drawn as SVG at the size that the page
// has for it, so that letters stay as large on a phone as on a desk. It shows the
// band of two standard deviations, the limit, the phases and where the engine
// four-strokes, and has a cursor. To the keyboard and to a screen
// reader all of it is one slider: arrow keys move the cursor, and its place is put
// in words.

import { firing, tens } from "./words.js";
import { readingAt } from "./align.js";

const space = "http://www.w3.org/2000/svg";
const sides = { left: 4, right: 4, top: 26, bottom: 30 };
const strip = 16, stripGap = 3; // height of the firing of one pass, and between two, px
const step = 0.1, leap = 1; // s, of the arrow and the page keys

export function make(name, attributes = {}, text = "") {
  const element = document.createElementNS(space, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text) element.textContent = text;
  return element;
}

// ticks gives round values from one to another, at most about maxTicks of them.
export function ticks(from, to, maxTicks) {
  const span = to - from;
  let unit = 10 ** Math.floor(Math.log10(span / maxTicks));
  for (const times of [1, 2, 5, 10]) {
    if (span / (unit * times) <= maxTicks) { unit *= times; break; }
  }
  const list = [];
  for (let i = Math.ceil(from / unit); i * unit <= to; i++) list.push(i * unit);
  return list;
}

// runs divides the readings of a pass into runs without a gap.
export function runs(pass) {
  const list = [];
  let run = null;
  pass.times.forEach((t, i) => {
    if (!pass.rpm[i] || (run && t - pass.times[run.at(-1)] > 0.05)) run = null;
    if (!pass.rpm[i]) return;
    if (!run) list.push(run = []);
    run.push(i);
  });
  return list;
}

// decimate keeps of every so many readings of a run the lowest and the highest.
export function decimate(run, rpm, every) {
  if (every < 2) return run;
  const kept = [];
  for (let i = 0; i < run.length; i += every) {
    const part = run.slice(i, i + every);
    let low = part[0], high = part[0];
    for (const k of part) {
      if (rpm[k] < rpm[low]) low = k;
      if (rpm[k] > rpm[high]) high = k;
    }
    kept.push(...(low === high ? [low] : [Math.min(low, high), Math.max(low, high)]));
  }
  return kept;
}

export class Trace extends EventTarget {
  // passes is a list of {pass, offset, number}: readings, what is subtracted from
  // their times, and 1 or 2 for the look. from and to are the ends of the axis of
  // time; the axis of speed reaches to maxRPM at least.
  constructor(box, { passes, from, to, label, describe, detailed, zeroIsOpening, maxRPM = 0 }) {
    super();
    Object.assign(this, { box, passes, from, to, describe, detailed, zeroIsOpening, maxRPM, at: Math.max(from, 0), hatch: `hatch-${box.id}` });
    box.classList.add("trace");
    box.tabIndex = 0;
    for (const [key, value] of [["role", "slider"], ["aria-label", label], ["aria-valuemin", from.toFixed(1)], ["aria-valuemax", to.toFixed(1)]]) {
      box.setAttribute(key, value);
    }
    this.svg = make("svg", { "aria-hidden": "true" });
    box.append(this.svg);
    this.listen();
    new ResizeObserver(() => { if (box.clientWidth && Math.floor(box.clientWidth) !== this.width) this.draw(); }).observe(box);
    this.draw();
  }

  listen() {
    const seek = (e) => this.seek(this.from + (e.clientX - this.svg.getBoundingClientRect().left - sides.left) / this.scale);
    this.box.addEventListener("pointerdown", (e) => {
      if (e.button !== 0) return;
      this.held = true;
      this.box.setPointerCapture(e.pointerId);
      seek(e);
    });
    this.box.addEventListener("pointermove", (e) => { if (this.held) seek(e); });
    for (const end of ["pointerup", "pointercancel"]) this.box.addEventListener(end, () => { this.held = false; });
    this.box.addEventListener("keydown", (e) => {
      const to = {
        ArrowLeft: this.at - step, ArrowDown: this.at - step, ArrowRight: this.at + step, ArrowUp: this.at + step,
        PageDown: this.at - leap, PageUp: this.at + leap, Home: this.from, End: this.to,
      }[e.key];
      if (e.key === " " || e.key === "Enter") this.dispatchEvent(new Event("toggle"));
      else if (to === undefined || e.ctrlKey || e.altKey || e.metaKey) return;
      else this.seek(to);
      e.preventDefault();
    });
    // The space bar would scroll the page away from what it plays.
    this.box.addEventListener("keypress", (e) => { if (e.key === " ") e.preventDefault(); });
  }

  // zoom shows only a part of the time, all of it for null.
  zoom(part) {
    this.whole ??= [this.from, this.to];
    [this.from, this.to] = part ?? this.whole;
    this.box.setAttribute("aria-valuemin", this.from.toFixed(1));
    this.box.setAttribute("aria-valuemax", this.to.toFixed(1));
    this.at = Math.max(this.from, Math.min(this.to, this.at));
    this.draw();
  }

  // seek moves the cursor for the user, and dispatches the event seek.
  seek(t) {
    this.move(Math.max(this.from, Math.min(this.to, t)));
    this.dispatchEvent(new Event("seek"));
  }

  // move puts the cursor to a time of the axis.
  move(t) {
    this.at = t;
    this.box.setAttribute("aria-valuenow", t.toFixed(1));
    this.box.setAttribute("aria-valuetext", this.describe(t));
    if (!this.cursor) return;
    const x = this.x(t);
    this.cursor.setAttribute("d", `M${x} ${sides.top}V${this.height - sides.bottom}`);
    this.passes.forEach(({ pass, offset }, k) => {
      const i = readingAt(pass, t + offset), told = i >= 0 && pass.rpm[i] > 0;
      this.dots[k].setAttribute("visibility", told ? "visible" : "hidden");
      if (told) { this.dots[k].setAttribute("cx", x); this.dots[k].setAttribute("cy", this.y(pass.rpm[i])); }
    });
  }

  x(t) { return +(sides.left + (t - this.from) * this.scale).toFixed(1); }
  y(rpm) { return +(this.height - sides.bottom - rpm * this.rise).toFixed(1); }

  draw() {
    this.width = Math.max(Math.floor(this.box.clientWidth), sides.left + sides.right); // a box that is not laid out yet has no room
    this.height = Math.round(Math.max(260, Math.min(420, this.width * 0.55)));
    this.scale = (this.width - sides.left - sides.right) / Math.max(0.1, this.to - this.from);
    const limit = this.passes[0].pass.limit;
    const top = 1.08 * Math.max(1000, limit, this.maxRPM, ...this.passes.map(({ pass }) => pass.rpm.reduce((max, v) => Math.max(max, v), 0)));
    this.rise = (this.height - sides.top - sides.bottom) / top;
    for (const [key, value] of [["width", this.width], ["height", this.height], ["viewBox", `0 0 ${this.width} ${this.height}`]]) this.svg.setAttribute(key, value);
    this.svg.replaceChildren();
    if (this.detailed) this.drawPhases();
    this.drawAxes(top);
    if (limit) this.drawLimit(limit);
    this.passes.forEach((p, row) => this.drawFiring(p, this.passes.length - 1 - row));
    this.passes.forEach((p) => this.drawPass(p));
    if (limit) this.nameLimit(limit);
    this.cursor = this.add("path", { class: "cursor" });
    this.dots = this.passes.map(() => this.add("circle", { class: "dot", r: 6 }));
    this.move(this.at);
  }

  add(name, attributes, text) {
    const element = make(name, attributes, text);
    this.svg.append(element);
    return element;
  }

  drawPhases() {
    this.passes[0].pass.phases.forEach(({ says, from, to }, i) => {
      const x = this.x(from), width = this.x(to) - x;
      if (i % 2) this.add("rect", { class: "odd", x, y: 0, width, height: this.height - sides.bottom });
      if (width > 8 * says.length) this.add("text", { x: x + width / 2, y: 18, "text-anchor": "middle" }, says);
    });
  }

  drawAxes(top) {
    const bottom = this.height - sides.bottom, named = [];
    for (const rpm of ticks(0, top, 5)) {
      this.add("path", { class: "grid", d: `M${sides.left} ${this.y(rpm)}H${this.width - sides.right}` });
      if (rpm > 0 && this.y(rpm) > sides.top + 14) named.push(rpm);
    }
    named.forEach((rpm, i) => this.add("text", { x: sides.left + 3, y: this.y(rpm) - 4 }, i === named.length - 1 ? `${tens(rpm)} rpm` : tens(rpm)));
    if (this.zeroIsOpening) this.add("path", { class: "opening", d: `M${this.x(0)} ${sides.top}V${bottom}` });
    for (const t of ticks(this.from, this.to, Math.max(2, this.width / 60))) {
      const x = this.x(t), end = t - this.from < 0.2 ? "start" : this.to - t < 0.2 ? "end" : "middle";
      this.add("path", { class: "grid", d: `M${x} ${bottom}v5` });
      this.add("text", { x, y: bottom + 21, "text-anchor": end }, `${Number(t.toFixed(2))} s`);
    }
  }

  drawLimit(limit) {
    const y = this.y(limit), width = this.width - sides.left - sides.right;
    this.add("rect", { class: "over", x: sides.left, y: sides.top, width, height: Math.max(0, y - sides.top) });
    this.add("path", { class: "limit", d: `M${sides.left} ${y}h${width}` });
  }

  // nameLimit writes the limit above its line, at the end where no trace runs over the
  // words, the right one first.
  nameLimit(limit) {
    const y = this.y(limit), left = sides.left + 3, right = this.width - sides.right - 3, words = 110; // px, with room
    const free = (a, b) => this.passes.every(({ pass, offset }) => pass.rpm.every((v, i) => {
      const x = this.x(pass.times[i] - offset);
      return !v || x < a || x > b || this.y(v) > y + 3 || this.y(v) < y - 24;
    }));
    const atLeft = !free(right - words, right) && free(left, left + words);
    this.add("text", { class: "limit-word", x: atLeft ? left : right, y: y - 6, "text-anchor": atLeft ? "start" : "end" }, `limit ${tens(limit)}`);
  }

  // drawFiring shows in a strip near the bottom, so many rows over the lowest, how the
  // engine fires; of several passes each strip has the number of its own.
  drawFiring({ pass, offset, number }, row) {
    const y = this.height - sides.bottom - strip - row * (strip + stripGap);
    if (row === this.passes.length - 1) {
      const pattern = make("pattern", { id: this.hatch, width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" });
      pattern.append(make("path", { class: "hatch", d: "M0 0V6" }));
      this.svg.append(pattern);
    }
    const at = (i) => Math.max(sides.left, Math.min(this.width - sides.right, this.x(pass.times[i] - offset)));
    const how = (i) => (pass.rpm[i] ? (pass.fires[i] > 1 ? "four" : pass.fires[i] === 1 ? "clean" : "") : "");
    for (let i = 0; i < pass.times.length;) {
      let k = i;
      while (k < pass.times.length && how(k) === how(i)) k++;
      const x = at(i), width = at(Math.min(k, pass.times.length - 1)) - x;
      if (how(i) && width > 0) this.add("rect", { class: how(i), x, y, width, height: strip, ...(how(i) === "four" ? { fill: `url(#${this.hatch})` } : {}) });
      i = k;
    }
    if (this.passes.length > 1) this.add("text", { class: "number", x: sides.left + 2, y: y + strip - 3 }, String(number));
  }

  drawPass({ pass, offset, number }) {
    const every = Math.ceil(pass.times.length / (1.5 * this.width));
    const x = (i) => this.x(pass.times[i] - offset);
    for (const run of runs(pass).map((all) => all.filter((i) => pass.times[i] - offset >= this.from && pass.times[i] - offset <= this.to)).filter((part) => part.length)) {
      const kept = decimate(run, pass.rpm, every);
      const upper = kept.map((i) => `${x(i)} ${this.y(pass.rpm[i] + 2 * pass.sd[i])}`);
      const lower = kept.map((i) => `${x(i)} ${this.y(Math.max(0, pass.rpm[i] - 2 * pass.sd[i]))}`).reverse();
      this.add("path", { class: `band band-${number}`, d: `M${upper.concat(lower).join("L")}Z` });
      this.add("path", { class: `line line-${number}`, d: `M${kept.map((i) => `${x(i)} ${this.y(pass.rpm[i])}`).join("L")}` });
    }
  }
}

// bindZoom makes a button that shows only full throttle in the traces, times being
// those of their axis; it is hidden where there is none.
export function bindZoom(button, { top }, traces, offset = 0) {
  button.hidden = !(top[1] > top[0]);
  button.addEventListener("click", () => {
    const on = button.getAttribute("aria-pressed") !== "true";
    button.setAttribute("aria-pressed", String(on));
    const part = on ? top.map((t) => t - offset) : null;
    (typeof traces === "function" ? traces() : traces).forEach((trace) => trace.zoom(part));
  });
}

// firingKeys gives the entries for the strips of the firing of the trace of this id.
export function firingKeys(strokes, id) {
  const box = (name, more) => ["rect", { class: name, x: 1, y: 1, width: 34, height: 14, ...more }];
  return [
    key(strokes === 4 ? "missing firings" : "four-stroking", box("four", { fill: `url(#hatch-${id})` })),
    key(firing(1, strokes), box("clean")), key("firing not told", box("untold")),
  ];
}

// lineKey gives an entry for the line and the band of a pass.
export function lineKey(says, number) {
  return key(says, ["path", { class: `band band-${number}`, d: "M0 3H36V13H0Z" }], ["path", { class: `line line-${number}`, d: "M0 8H36" }]);
}

// key gives an entry of the list that says what the lines are.
export function key(says, ...shapes) {
  const item = document.createElement("li");
  const svg = make("svg", { viewBox: "0 0 36 16", "aria-hidden": "true" });
  svg.append(...shapes.map(([name, attributes]) => make(name, attributes)));
  item.append(svg, says);
  return item;
}
