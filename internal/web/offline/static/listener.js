// The worker that follows an engine, for the live view. Sound comes straight from the
// browser's audio thread, block by block, and waits here: what has come is handed to the
// program at once, since a call for each block would fall ever further behind. Readings,
// openings of the throttle and the end go to the page.

import { compile, start } from "./program.js";

const every = 10; // ms
const mostWaiting = 80; // s of sound: a phone that cannot keep up
let rate = 0, waiting = [], running = false, due = false, over = false;

onmessage = ({ data }) => {
  if (data.done) {
    over = true;
    hand();
  } else begin(data).catch((err) => problem({ code: "ended", says: `the program could not be started (${err.message})`, do: "close the page, and open it again" }));
};

const problem = (problem) => {
  running = false;
  postMessage({ problem });
};

// begin follows the engine that a form describes, or, where it is known already, a machine.
async function begin({ module, first, engine, machine, rate: perSecond, sound }) {
  rate = perSecond;
  sound.onmessage = ({ data }) => {
    waiting.push(data);
    if (due) return;
    due = true;
    setTimeout(hand, every);
  };
  globalThis.topnoteTell = (told) => postMessage({ told });
  globalThis.topnoteOpening = (opening, samples) => postMessage({ opening, sound: samples }, [samples.buffer]);
  await start(module ?? await compile("listen", first), [], () => problem({ code: "ended", says: "the program made a mistake and has ended", do: "close the page, and open it again" }));
  const refused = globalThis.topnoteBegin(engine, machine, rate);
  if (refused) return problem(refused);
  running = true;
  hand();
}

// hand hands the program what waits, in 16 bits.
function hand() {
  due = false;
  if (!running) return;
  const samples = new Int16Array(waiting.reduce((sum, block) => sum + block.length, 0));
  if (samples.length > mostWaiting * rate) return problem({ code: "busy", says: "this phone cannot keep up with the sound", do: "close other programs, and start again" });
  let at = 0;
  for (const block of waiting) {
    for (const v of block) samples[at++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
  }
  waiting = [];
  const wrong = at && globalThis.topnoteSound(new Uint8Array(samples.buffer)) || over && globalThis.topnoteEnd();
  if (wrong) return problem(wrong);
  if (!over) return;
  running = false;
  postMessage({ ended: true });
}
