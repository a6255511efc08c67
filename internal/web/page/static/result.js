// The page of a result: draws the trace, plays it with the sound, and copies the
// message. Everything else is in the page without it.

import { Trace, key, lineKey } from "./trace.js";
import { Player, bindPlay, bindSpeeds } from "./player.js";
import { readingAt } from "./align.js";
import { firing, seconds, tens } from "./words.js";
import * as copy from "./copy.js";
import * as day from "./day.js";
import * as units from "./units.js";

const byID = (id) => document.getElementById(id);

units.start();
for (const note of document.querySelectorAll(".no-script")) note.hidden = true;
if (byID("store")) day.fill(location.pathname.split("/").pop(), byID("store"));
if (byID("copy")) copy.start(byID("message"), byID("copy"), byID("copied"));
if (byID("track")) setUpTrace(JSON.parse(byID("track").textContent));

function setUpTrace(pass) {
  byID("player").hidden = false;
  if (byID("lines")) byID("lines").open = false;
  const trace = new Trace(byID("trace"), {
    passes: [{ pass, offset: 0, number: 1 }], from: 0, to: pass.duration, detailed: true,
    label: "Place in the recording", describe: (t) => says(pass, t).join(" "),
  });
  const show = () => {
    const [speed, rest] = says(pass, trace.at);
    const large = document.createElement("b");
    large.textContent = speed;
    byID("now").replaceChildren(large, rest);
  };
  byID("key").append(
    lineKey("speed and its uncertainty (95 in 100)", 1),
    key(pass.strokes === 4 ? "missing firings" : "four-stroking", ["rect", { class: "four", x: 1, y: 1, width: 34, height: 14, fill: "url(#hatch-trace)" }]),
    key(firing(1, pass.strokes), ["rect", { class: "clean", x: 1, y: 1, width: 34, height: 14 }]));
  if (byID("sound")) setUpSound(pass, trace, show);
  trace.addEventListener("seek", show);
  trace.move(pass.from);
  show();
}

function setUpSound(pass, trace, show) {
  const player = new Player([byID("sound")], [pass], [0]);
  bindPlay(player, byID("play"), byID("sound-problem"));
  bindSpeeds(player, [[byID("slow"), 0.5], [byID("slower"), 0.25]], byID("pitch"));
  trace.addEventListener("seek", () => player.seek(trace.at));
  trace.addEventListener("toggle", () => player.toggle());
  player.addEventListener("move", () => {
    trace.move(Math.min(player.time, pass.duration));
    show();
  });
}

// says gives the speed at a time, and the rest in words.
function says(pass, t) {
  const i = readingAt(pass, t);
  const phase = pass.phases.find((p) => t >= p.from && t <= p.to);
  const at = `at ${seconds(t)}`;
  if (i < 0 || !pass.rpm[i]) return ["speed not told", [at, phase?.says].filter(Boolean).join(", ")];
  const off = Math.max(10, 10 * Math.ceil(pass.sd[i] / 5));
  return [`${tens(pass.rpm[i])} rpm`,
    [at, `give or take ${tens(off)}`, phase?.says, firing(pass.fires[i], pass.strokes)].filter(Boolean).join(", ")];
}
