// Sound as a WAV file: 16 bits, one channel. What the microphone or the
// browser's own decoder gives is floating point from -1 to 1; it is rounded and
// clipped, never scaled, so that a recording that was too loud is still found to be.
// What is 16 bits already (Int16Array) stays as it is.

const headerBytes = 44;

// wavBytes gives the file of chunks of samples (Float32Array, Int16Array) as an ArrayBuffer.
export function wavBytes(chunks, rate) {
  const count = chunks.reduce((sum, c) => sum + c.length, 0);
  const buffer = new ArrayBuffer(headerBytes + 2 * count);
  const view = new DataView(buffer);
  const text = (at, s) => { for (let i = 0; i < s.length; i++) view.setUint8(at + i, s.charCodeAt(i)); };
  text(0, "RIFF");
  view.setUint32(4, headerBytes - 8 + 2 * count, true);
  text(8, "WAVEfmt ");
  view.setUint32(16, 16, true); // bytes of the format
  view.setUint16(20, 1, true); // PCM
  view.setUint16(22, 1, true); // channels
  view.setUint32(24, rate, true);
  view.setUint32(28, 2 * rate, true); // bytes a second
  view.setUint16(32, 2, true); // bytes a frame
  view.setUint16(34, 16, true); // bits
  text(36, "data");
  view.setUint32(40, 2 * count, true);
  let at = headerBytes;
  for (const chunk of chunks) {
    const scale = chunk instanceof Int16Array ? 1 : 32768;
    for (const v of chunk) {
      view.setInt16(at, Math.max(-32768, Math.min(32767, Math.round(scale * v))), true);
      at += 2;
    }
  }
  return buffer;
}

// wavFile gives the same as a file to send.
export function wavFile(chunks, rate, name) {
  return new File([wavBytes(chunks, rate)], name, { type: "audio/wav" });
}
