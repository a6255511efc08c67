// Runs beside the page, in the browser's audio thread: hands on what the
// microphone gives, block by block, as it is.

class Recorder extends AudioWorkletProcessor {
  process(inputs) {
    const channel = inputs[0][0];
    if (channel && channel.length) this.port.postMessage(channel.slice());
    return true;
  }
}

registerProcessor("recorder", Recorder);
