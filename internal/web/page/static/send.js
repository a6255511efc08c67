// Sends a recording, waits for its turn and its measurement. Every step is reported,
// and every failure is an error with says and do, the two halves of a sentence. What the server cannot decode is decoded here and
// sent once more.

import { address } from "./address.js";
import { decodeToWav } from "./decode.js";

const clips = address("/api/v1/clips");
const pollEvery = 400; // ms
const tries = 6, busyPause = 5000; // ms: how often and after how long to try a busy server again

// undecoded are the codes with which a server says that it cannot decode.
const undecoded = new Set(["no-ffmpeg", "codec", "not-audio", "no-pipe", "no-room", "damaged"]);

export class Failure extends Error {
  constructor({ code = "", says, do: what }) {
    super(says);
    Object.assign(this, { code, says, do: what });
  }
}

const alone = window !== window.parent; // on a phone, the program is in the page around this one

const broken = () => new Failure({
  says: "the connection to the program broke off",
  do: alone ? "close the page, open it again and try again" : "see that it still runs and that this device is on the same network, then try again",
});

// upload sends a form; report is called with the share that is sent.
export function upload(form, report, signal) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", clips);
    request.responseType = "json";
    request.upload.onprogress = (e) => { if (e.lengthComputable) report(e.loaded / e.total); };
    request.onload = () => {
      if (request.status === 202 || request.status === 200) resolve(request.response);
      else reject(request.response?.error ? new Failure(request.response.error) : broken());
    };
    request.onerror = () => reject(broken());
    request.onabort = () => reject(new DOMException("stopped", "AbortError"));
    signal?.addEventListener("abort", () => request.abort());
    request.send(form);
  });
}

export const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

// follow waits for the result of a clip; report is called with its state.
export async function follow(id, report, signal) {
  for (;;) {
    let answer;
    try {
      answer = await fetch(`${clips}/${id}`, { signal });
    } catch (err) {
      throw err.name === "AbortError" ? err : broken();
    }
    const job = await answer.json().catch(() => null);
    if (!answer.ok) throw job?.error ? new Failure(job.error) : broken();
    if (job.state === "done") return job;
    if (job.state === "failed") throw new Failure(job.problem ?? job.error);
    report(job);
    await pause(pollEvery);
  }
}

const deaf = 1000; // ms

// forget deletes a clip on the server. A program on a phone alone hears nothing while it
// measures: where it is at that for longer it is ended and started anew, without the
// results that are in no book.
export async function forget(id) {
  const heard = fetch(`${clips}/${id}`, { method: "DELETE" }).then(() => true, () => true);
  if (alone && !await Promise.race([heard, pause(deaf)])) window.parent.topnoteRestart();
}

// measure sends a recording, the file under "clip" in form, waits for its result
// and gives its id. report is called with what goes on, and how far it is: 0 to 1, or
// null where that is not known.
export async function measure(form, report, signal) {
  try {
    return await once(form, report, signal);
  } catch (err) {
    const file = form.get("clip");
    if (!(err instanceof Failure) || !undecoded.has(err.code) || !(file instanceof File) || form.has("decoded")) throw err;
    report("Decoding in this browser", null);
    let wav;
    try {
      wav = await decodeToWav(file);
    } catch {
      throw err; // the sentence of the server is the better one
    }
    form.set("clip", wav);
    form.set("decoded", "browser");
    const original = await fingerprint(file);
    if (original) form.set("sha256", original);
    return once(form, report, signal);
  }
}

// fingerprint gives the SHA-256 of a file in hexadecimal, by which the book knows a
// recording again; "" where the browser gives none, as over plain http.
async function fingerprint(file) {
  if (!crypto.subtle) return "";
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer()));
  return Array.from(sum, (b) => b.toString(16).padStart(2, "0")).join("");
}

async function once(form, report, signal) {
  const { id } = await uploadRetrying(form, report, signal);
  signal?.addEventListener("abort", () => forget(id));
  await follow(id, (job) => {
    if (job.state === "queued") report(sayWaiting(job.position), null);
    else report("Measuring", job.progress || null);
  }, signal);
  return id;
}

// uploadRetrying sends a form and, where the server is busy, sends it again.
async function uploadRetrying(form, report, signal) {
  for (let left = tries; ; left--) {
    report("Sending", 0);
    try {
      return await upload(form, (share) => report("Sending", share), signal);
    } catch (err) {
      if (err.code !== "busy" || left === 1) throw err;
    }
    report("The server is busy; trying again in a moment", null);
    await pause(busyPause);
    signal?.throwIfAborted();
  }
}

function sayWaiting(position) {
  if (position > 1) return `Waiting: ${position - 1} before it`;
  return "Waiting: it is next";
}
