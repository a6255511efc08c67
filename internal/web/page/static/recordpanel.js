// The recorder on a page: one large button, a clock, the loudness in words, and what is
// wrong in plain words beside the button. A new recording takes the place of the one
// before; leaving the page while it runs asks first.

import { canRecord, record, sayRefusal } from "./record.js";
import { wavFile } from "./wav.js";

const longest = 240; // s of a recording: a pass takes ten, and the server takes no more than 300
const tooQuiet = -45, tooLoud = -3, silent = -75; // dB of full scale, of the peak
const silentAfter = 2; // s

const byID = (id) => document.getElementById(id);
let running = null;

// end ends what is being recorded and keeps it; nothing where nothing is.
export async function end() {
  const recording = running;
  running = null;
  if (recording) await recording.end();
}

// start sets the recorder up; keep is called with each recording, as a file, and begin
// when a new one begins.
export function start(keep, begun) {
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
    try {
      if (running) await end();
      else {
        begun();
        running = await begin(keep);
        says("Recording.");
      }
    } catch (err) {
      says("");
      problem(sayRefusal(err));
    }
    button.disabled = false;
  });
  window.addEventListener("beforeunload", (e) => { if (running) e.preventDefault(); });
}

function says(text) { byID("record-said").textContent = text; }
function problem(text) { if (byID("record-problem").textContent !== text) byID("record-problem").textContent = text; }

async function begin(keep) {
  const button = byID("record"), began = performance.now();
  let loudest = -120, ever = -120, clipped = false;
  const recording = await record((db) => {
    loudest = Math.max(db, loudest - 1);
    ever = Math.max(ever, db);
    clipped ||= db > -0.1;
  });
  const tick = setInterval(() => {
    const elapsed = (performance.now() - began) / 1000;
    byID("level").value = loudest;
    byID("level-says").textContent = loudest > tooLoud ? "too loud" : loudest < tooQuiet ? "too quiet" : "good";
    byID("clock").textContent = `${Math.floor(elapsed)} s`;
    if (ever < silent && elapsed > silentAfter) problem("The microphone gives no sound. See that it is switched on, allowed and not covered.");
    else problem(clipped ? "Too loud: the microphone is overloaded. Lay the phone further away and record again." : "");
    if (elapsed > longest) button.click();
  }, 100);
  button.textContent = "Stop";
  button.classList.add("recording");
  byID("live").hidden = false;
  byID("heard").hidden = true;
  return {
    async end() {
      clearInterval(tick);
      const { chunks, rate } = await recording.stop();
      button.textContent = "Record again";
      button.classList.remove("recording");
      byID("live").hidden = true;
      const count = chunks.reduce((sum, c) => sum + c.length, 0);
      if (count === 0) {
        says("");
        return problem("Nothing came from the microphone. Record again.");
      }
      const file = wavFile(chunks, rate, `recorded ${new Date().toTimeString().slice(0, 5).replace(":", "-")}.wav`);
      keep(file);
      const heard = byID("heard");
      URL.revokeObjectURL(heard.src);
      heard.src = URL.createObjectURL(file);
      heard.hidden = false;
      says(`${(count / rate).toFixed(1)} s recorded. Measure it, listen to it, or record again.`);
    },
  };
}
