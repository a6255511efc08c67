// The page of a result: draws the trace, plays it with the sound, and copies the
// message. Everything else is in the page without it.

import { Trace, bindZoom, firingKeys, lineKey } from "./trace.js";
import { Player, bindPlay, bindSpeeds } from "./player.js";
import { readingAt } from "./align.js";
import { firing, seconds, tens } from "./words.js";
import * as copy from "./copy.js";
import * as day from "./day.js";
import * as present from "./present.js";
import * as share from "./share.js";
import * as units from "./units.js";

const byID = (id) => document.getElementById(id);

units.start();
for (const note of document.querySelectorAll(".no-script")) note.hidden = true;
// A wide window has room for what a phone keeps folded, and a link opens its target.
if (matchMedia("(min-width: 62rem)").matches) for (const wide of document.querySelectorAll("[data-wide]")) wide.open = true;
const unfold = (target) => { for (let part = target; part; part = part.parentElement) if (part.tagName === "DETAILS") part.open = true; };
for (const link of document.querySelectorAll('a[href^="#"]')) link.addEventListener("click", () => unfold(byID(link.hash.slice(1))));
if (location.hash) unfold(byID(location.hash.slice(1)));
if (byID("store")) day.fill(location.pathname.split("/").pop(), byID("store"));
present.start();
if (byID("copy")) {
  copy.start(byID("message"), byID("copy"), byID("copied"));
  if (byID("message-long")) copy.start(byID("message-long"), byID("copy-long"), byID("copied-long"));
  share.start(byID("message"), byID("share"), byID("copied"));
}
if (byID("predict")) setUpPredict();
if (byID("track")) setUpTrace(JSON.parse(byID("track").textContent));

// setUpPredict lets a class hear before it sees: everything that gives the verdict away
// stays hidden until the button is pressed.
function setUpPredict() {
  document.body.classList.add("predicting");
  byID("trace-part").open = true;
  byID("reveal").addEventListener("click", () => {
    document.body.classList.remove("predicting");
    byID("reveal").hidden = true;
    byID("hidden-part").hidden = false;
    byID("verdict").scrollIntoView();
  });
}

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
    lineKey("speed and its uncertainty (95 %)", 1),
    ...firingKeys(pass.strokes, "trace"));
  if (byID("sound")) setUpSound(pass, trace, show);
  bindZoom(byID("loop"), pass, [trace]);
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
  byID("loop").addEventListener("click", () => player.loop(byID("loop").getAttribute("aria-pressed") === "true" ? pass.top : null));
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
  if (i < 0 || !pass.rpm[i]) return ["not told", [at, phase?.says].filter(Boolean).join(", ")];
  const off = Math.max(10, 10 * Math.ceil(pass.sd[i] / 5));
  return [`${tens(pass.rpm[i])} rpm`,
    [at, `± ${tens(off)} rpm (95 %)`, phase?.says, firing(pass.fires[i], pass.strokes)].filter(Boolean).join(", ")];
}
