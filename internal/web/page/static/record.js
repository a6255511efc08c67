// Recording in the page: microphone to samples, without any of the changes that
// phones make for speech. Gain control levels the difference between idle and
// full throttle, and noise suppression takes a steady engine for noise and fades
// it out; both are asked to stay off. The samples come from an AudioWorklet, not
// from an encoder, so nothing is lost on the way. Browsers allow the microphone
// on this computer's own address and over https only.

import { address } from "./address.js";

const constraints = {
  audio: {
    channelCount: { ideal: 1 }, echoCancellation: false, noiseSuppression: false, autoGainControl: false,
  },
};

export function canRecord() {
  return window.isSecureContext && !!navigator.mediaDevices && "AudioWorkletNode" in window;
}

// late throws once a browser has had time enough to begin.
async function late() {
  await new Promise((resolve) => setTimeout(resolve, 5000));
  throw new DOMException("no sound begins", "NotReadableError");
}

// openMicrophone hands each block of samples to heard. It gives the rate, which of the
// changes the browser makes all the same, hear, for one more who hears the blocks from
// now on, hearToo, for a port that gets them straight from the audio thread and for one
// who hears the same ones here, and close.
export async function openMicrophone(heard) {
  const context = new AudioContext(); // at once: some browsers want the finger still on the button
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia(constraints);
    await context.audioWorklet.addModule(address("/static/recorder.js"));
    await Promise.race([context.resume(), late()]); // without any device for sound it waits for ever
  } catch (err) {
    stream?.getTracks().forEach((t) => t.stop());
    await context.close();
    throw err;
  }
  const node = new AudioWorkletNode(context, "recorder", { numberOfOutputs: 0 });
  const all = [heard];
  let next = null;
  node.port.onmessage = ({ data }) => {
    if (data === "too") all.push(next);
    else for (const one of all) one(data);
  };
  context.createMediaStreamSource(stream).connect(node);
  const lock = await navigator.wakeLock?.request("screen").catch(() => null);
  const settings = stream.getAudioTracks()[0].getSettings();
  const changes = { echoCancellation: "echo cancellation", noiseSuppression: "noise suppression", autoGainControl: "automatic gain" };
  return {
    rate: context.sampleRate,
    changed: Object.keys(changes).filter((name) => settings[name]).map((name) => changes[name]),
    hear(one) { all.push(one); },
    hearToo(port, one) {
      next = one;
      node.port.postMessage(port, [port]);
    },
    async close() {
      stream.getTracks().forEach((t) => t.stop());
      if (context.state !== "closed") await context.close();
      await lock?.release();
    },
  };
}

// record starts recording; heard is called with the peak of each block, in dB of full
// scale. It gives the microphone, and stop, which ends it and gives the chunks and their
// rate.
export async function record(heard) {
  const chunks = [];
  const microphone = await openMicrophone((data) => {
    chunks.push(data);
    heard(20 * Math.log10(Math.max(1e-6, data.reduce((most, v) => Math.max(most, Math.abs(v)), 0))));
  });
  return {
    microphone,
    async stop() {
      await microphone.close();
      return { chunks, rate: microphone.rate };
    },
  };
}

// sayRefusal says why there is no microphone, and what to do.
export function sayRefusal(err) {
  switch (err.name) {
    case "NotAllowedError":
      return "The browser does not let this page use the microphone. Allow it in the browser's settings for this page, or pick a recording.";
    case "NotFoundError":
      return "No microphone was found. Plug one in, or pick a recording.";
    default:
      return "The microphone cannot be used; perhaps another program holds it. Close that, or pick a recording.";
  }
}
