// The page of a new pass: pick, drop or record; then send and wait. Without this
// script the form is sent as it is, and the server's page waits.

import { address } from "./address.js";
import { canRecord, record, sayRefusal } from "./record.js";
import { wavFile } from "./wav.js";
import { measure } from "./send.js";
import { show } from "./work.js";
import * as day from "./day.js";
import * as drop from "./drop.js";
import * as machine from "./machine.js";
import * as units from "./units.js";

const longest = 240; // s of a recording: a pass takes ten, and the server takes no more than 300

const byID = (id) => document.getElementById(id);
const form = byID("pass"), clip = byID("clip");

machine.start();
units.start();
drop.guard();
drop.start(byID("drop"));
byID("drop-note").hidden = !matchMedia("(pointer: fine)").matches;
byID("recorder").hidden = false;
byID("day").hidden = false;
setUpRecorder();

byID("day").addEventListener("submit", (e) => {
  e.preventDefault();
  form.requestSubmit();
});

form.addEventListener("submit", async (e) => {
  e.preventDefault();
  const work = show(form, byID("day"), byID("go"));
  try {
    const id = await measure(new FormData(form), work.report, work.signal);
    day.keep(id, new FormData(byID("day")));
    location.assign(address(`/clips/${id}`));
  } catch (err) {
    work.close(err);
    byID("measure").focus();
  }
});

function setUpRecorder() {
  const button = byID("record"), said = byID("record-said");
  if (!canRecord()) {
    button.disabled = true;
    said.textContent = "This browser lets a page record only on the computer that runs Topnote, or over https: start it with --tls for that. A recording from the phone's recorder does as well.";
    return;
  }
  let running = null;
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      if (running) {
        await running.end();
        running = null;
      } else {
        running = await begin();
        said.textContent = "Recording.";
      }
    } catch (err) {
      said.textContent = sayRefusal(err);
    }
    button.disabled = false;
  });

  async function begin() {
    const level = byID("level"), clock = byID("clock");
    let loudest = -60;
    const recording = await record((db) => { loudest = Math.max(db, loudest - 1); });
    const began = performance.now();
    const tick = setInterval(() => {
      const elapsed = (performance.now() - began) / 1000;
      level.value = loudest;
      clock.textContent = `${Math.floor(elapsed)} s`;
      if (elapsed > longest) button.click();
    }, 100);
    button.textContent = "Stop recording";
    button.classList.add("recording");
    clock.hidden = byID("live").hidden = false;
    byID("heard").hidden = true;
    return {
      async end() {
        clearInterval(tick);
        const { chunks, rate } = await recording.stop();
        button.textContent = "Record again";
        button.classList.remove("recording");
        clock.hidden = byID("live").hidden = true;
        keep(chunks, rate);
      },
    };
  }

  function keep(chunks, rate) {
    const count = chunks.reduce((sum, c) => sum + c.length, 0);
    if (count === 0) {
      said.textContent = "Nothing came from the microphone. Record again.";
      return;
    }
    const file = wavFile(chunks, rate, `recorded ${new Date().toTimeString().slice(0, 5).replace(":", "-")}.wav`);
    drop.put(clip, file);
    const heard = byID("heard");
    URL.revokeObjectURL(heard.src);
    heard.src = URL.createObjectURL(file);
    heard.hidden = false;
    said.textContent = `${(count / rate).toFixed(1)} s recorded. Listen to it, record again, or press Measure.`;
  }
}
