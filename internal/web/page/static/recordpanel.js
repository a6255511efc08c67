// The recorder on a page: one button, and from then on the screen guides the pass by what
// is heard of it, ends it and has it measured, with no other tap. Where no reading comes,
// the screen says what a pass is, and one tap ends it. What is wrong
// is said in plain words where the eye is. Leaving the page while it runs asks first.

import { Guide } from "./guide.js";
import { GuideScreen } from "./guidescreen.js";
import { follow } from "./readings.js";
import { canRecord, record, sayRefusal } from "./record.js";
import { wavFile } from "./wav.js";
import * as day from "./day.js";

const longest = 240; // s of a recording: a pass takes ten, and the server takes no more than 300
const tooQuiet = -45, tooLoud = -3, silent = -75, full = -0.1; // dB of full scale, of the peak
const silentAfter = 2; // s

const byID = (id) => document.getElementById(id);
const screen = new GuideScreen();
let running = null;

// start sets the recorder up. page has what it calls: begun() for a new recording,
// entries() for the fields of the machine, keep(file) for what was recorded, measure()
// when it is to be measured, and refused(problem) where an entry is at fault.
export function start(page) {
  const button = byID("record");
  if (!canRecord()) {
    button.disabled = true;
    problem(window.isSecureContext ?
      "This browser cannot record in a page. Record with the phone's recorder and choose that recording." :
      "Recording here needs a secure address (https), which topnote serve --tls gives. You can also record with the phone's recorder and choose that recording.");
    return;
  }
  button.addEventListener("click", async () => {
    button.disabled = true;
    problem("");
    says("");
    try {
      page.begun();
      screen.open("idle");
      running = await begin(page);
    } catch (err) {
      screen.close();
      problem(sayRefusal(err));
    }
    button.disabled = false;
  });
  byID("guide-stop").addEventListener("click", () => running?.end(true));
  byID("guide-drop").addEventListener("click", () => running?.end(false));
  byID("guide").addEventListener("cancel", (e) => e.preventDefault()); // of the key Escape: a pass is not lost by it
  window.addEventListener("beforeunload", (e) => { if (running) e.preventDefault(); });
}

// close puts the page back in the place of the guide.
export function close() { if (byID("guide").open) screen.close(); }

function says(text) { byID("record-said").textContent = text; }
function problem(text) { byID("record-problem").textContent = text; }

async function begin(page) {
  const began = performance.now();
  let loudest = -120, ever = -120, clipped = false;
  const recording = await record((db) => {
    loudest = Math.max(db, loudest - 1);
    ever = Math.max(ever, db);
    clipped ||= db > full;
  });
  const one = { end };
  const readings = listen(recording.microphone, page, one);
  const tick = setInterval(() => {
    const elapsed = (performance.now() - began) / 1000;
    screen.tick(elapsed, loudest, loudest > tooLoud ? "too loud" : loudest < tooQuiet ? "too quiet" : "good");
    if (ever < silent && elapsed > silentAfter) screen.problem("The microphone gives no sound. See that it is switched on, allowed and not covered.");
    else screen.problem(clipped ? "The microphone is overloaded. Lay the phone twice as far away, to the side of the machine, out of the exhaust stream, and record again." : "");
    if (elapsed > longest) end(true);
  }, 100);
  // end ends the recording, once; wanted says whether it is to be measured.
  async function end(wanted) {
    if (running !== one) return;
    running = null;
    clearInterval(tick);
    readings.close();
    if (wanted) screen.measuring();
    const { chunks, rate } = await recording.stop();
    byID("record").textContent = "Record again";
    if (!wanted) return close();
    if (chunks.length === 0) {
      close();
      return problem("Nothing came from the microphone. Record again.");
    }
    page.keep(wavFile(chunks, rate, `recorded ${day.local(new Date()).replace("T", " ").replace(":", ".")}.wav`));
    page.measure();
  }
  return one;
}

// listen guides by readings.
function listen(microphone, page, one) {
  const guide = new Guide();
  return follow(page.entries(), microphone, (message) => {
    if (running !== one) return;
    if (message.kind === "problem" && message.code === "entry") {
      one.end(false).then(() => page.refused(message));
    } else if (message.kind === "problem") screen.show("alone", 0); // it goes on without
    else if (message.kind === "reading") {
      guide.next(message);
      if (guide.step === "done") one.end(true);
      else screen.hear(guide, message);
    }
  });
}
