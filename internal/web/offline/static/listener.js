// The worker that follows an engine, for the live view. Sound comes straight from the
// browser's audio thread, block by block, and waits here: what has come is handed to the
// program at once, since a call for each block would fall ever further behind. Readings,
// openings of the throttle and the end go to the page.

import { compile, start } from "./program.js";

const every = 10; // ms
let waiting = [], running = false, due = false, over = false;

onmessage = ({ data }) => {
  if (data.done) {
    over = true;
    hand();
  } else begin(data).catch((err) => problem("ended", `The program could not be started (${err.message}); close the page, and open it again.`));
};

const problem = (code, says) => postMessage({ told: { kind: "problem", code, says } });

async function begin({ module, listening, sound }) {
  sound.onmessage = ({ data }) => {
    waiting.push(data);
    if (due) return;
    due = true;
    setTimeout(hand, every);
  };
  globalThis.topnoteTell = (text) => postMessage({ told: JSON.parse(text) });
  globalThis.topnoteOpening = (opening, bytes) => postMessage({ opening, sound: bytes }, [bytes.buffer]);
  globalThis.topnoteEnded = () => postMessage({ ended: true });
  await start(module ?? await compile(), ["listen", JSON.stringify(listening)], globalThis.topnoteEnded);
  running = true;
  hand();
}

// hand hands the program what waits, in 16 bits.
function hand() {
  due = false;
  if (!running) return;
  const samples = new Int16Array(waiting.reduce((sum, block) => sum + block.length, 0));
  let at = 0;
  for (const block of waiting) {
    for (const v of block) samples[at++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
  }
  waiting = [];
  if (at && !globalThis.topnoteSound(new Uint8Array(samples.buffer))) problem("busy", "This phone cannot keep up with the sound; close other programs, and start again.");
  if (!over) return;
  running = false;
  globalThis.topnoteEnd();
}
