// The page of two passes: both speeds from the opening of the throttle on,
// overlaid or side by side, and the sound of either at the same place.

import { Trace, bindZoom, firingKeys, lineKey } from "./trace.js";
import { Player, bindPlay, bindSpeeds } from "./player.js";
import * as present from "./present.js";
import { aligned, openings, readingAt, span } from "./align.js";
import { firing, seconds, tens } from "./words.js";

const byID = (id) => document.getElementById(id);
const passes = JSON.parse(byID("tracks").textContent);
const offsets = openings(passes);
const [from, to] = span(passes);
const called = (i) => passes[i].name;
const plateau = passes.map((p, i) => p.top.map((t) => t - offsets[i])).filter(([a, b]) => b > a);
const top = plateau.length ? [Math.min(...plateau.map((p) => p[0])), Math.max(...plateau.map((p) => p[1]))] : [0, 0];

present.start();
byID("player").hidden = false;
byID("lines").open = false;
const player = new Player([...document.querySelectorAll("audio.sound")], passes, offsets);
let traces = [];
let at = passes[0].from - offsets[0];

bindPlay(player, byID("play"), byID("sound-problem"));
bindSpeeds(player, [[byID("slow"), 0.5], [byID("slower"), 0.25]], byID("pitch"));
bindZoom(byID("loop"), { top }, () => traces);
byID("loop").addEventListener("click", () => player.loop(zoomed() ? top : null));
player.addEventListener("move", () => move(player.time));
player.addEventListener("change", () => hears.forEach((button, i) => button.setAttribute("aria-pressed", String(i === player.heard))));
const hears = [...document.querySelectorAll("button.hear")];
hears.forEach((button, i) => button.addEventListener("click", () => player.hear(i)));
for (const choice of document.getElementsByName("lay")) choice.addEventListener("change", drawTraces);

passes.forEach((pass, i) => byID("key").append(lineKey(`${i + 1} ${pass.name}`, i + 1)));
byID("key").append(...firingKeys(passes[0].strokes, "trace-1"));
drawTraces();
player.seek(at);

// drawTraces draws both passes in one graph, or each in its own.
function drawTraces() {
  const over = document.querySelector("[name=lay]:checked").value === "over";
  const all = passes.map((pass, i) => ({ pass, offset: offsets[i], number: i + 1 }));
  const groups = over ? [all] : all.map((p) => [p]);
  const box = byID("traces");
  box.replaceChildren();
  box.classList.toggle("apart", !over);
  const maxRPM = Math.max(...passes.flatMap((p) => p.rpm));
  traces = groups.map((group, k) => {
    const one = document.createElement("div");
    one.id = `trace-${k + 1}`;
    box.append(one);
    const trace = new Trace(one, {
      passes: group, from, to, maxRPM, zeroIsOpening: true,
      label: over ? "Place in the passes" : `Place in ${called(k)}`,
      describe: (t) => group.map((p) => `${called(p.number - 1)}: ${says(p, t).join(" ")}`).join("; "),
    });
    trace.addEventListener("seek", () => {
      player.seek(trace.at);
      move(trace.at);
    });
    trace.addEventListener("toggle", () => player.toggle());
    return trace;
  });
  if (zoomed()) traces.forEach((trace) => trace.zoom(top));
  move(at);
}

function zoomed() { return byID("loop").getAttribute("aria-pressed") === "true"; }

function move(t) {
  at = Math.max(from, Math.min(to, t));
  traces.forEach((trace) => trace.move(at));
  passes.forEach((pass, i) => {
    const [speed, rest] = says({ pass, offset: offsets[i] }, at);
    const large = document.createElement("b");
    large.textContent = speed;
    byID(`now-${i + 1}`).replaceChildren(`${called(i)}: `, large, rest);
  });
}

function says({ pass, offset }, t) {
  const i = readingAt(pass, t + offset);
  const side = t < 0 ? "before" : "after";
  const when = aligned(passes) ? `${seconds(Math.abs(t))} ${side} the opening` : `at ${seconds(t)}`;
  if (i < 0 || !pass.rpm[i]) return ["no speed", when];
  return [`${tens(pass.rpm[i])} rpm`, [when, firing(pass.fires[i], pass.strokes)].filter(Boolean).join(", ")];
}
