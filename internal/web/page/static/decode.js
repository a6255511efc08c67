// Decoding in the browser, for files that the server has no decoder for: a
// browser plays most of what phones record, video included. Only the louder
// channel is sent: the mean of two microphones can cancel an engine that is at one
// side.

import { wavFile } from "./wav.js";

const rate = 48000;

// louder gives the channel with the most power.
export function louder(channels) {
  let best = channels[0], most = -1;
  for (const c of channels) {
    let power = 0;
    for (const v of c) power += v * v;
    if (power > most) { most = power; best = c; }
  }
  return best;
}

// decodeToWav gives the sound of a file as a WAV file; it throws where the
// browser cannot decode it either.
export async function decodeToWav(file) {
  const context = new OfflineAudioContext(1, 1, rate);
  const sound = await context.decodeAudioData(await file.arrayBuffer());
  const channels = Array.from({ length: sound.numberOfChannels }, (_, i) => sound.getChannelData(i));
  return wavFile([louder(channels)], sound.sampleRate, file.name);
}
