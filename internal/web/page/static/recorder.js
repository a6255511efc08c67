// Runs beside the page, in the browser's audio thread: hands on what the
// microphone gives, block by block, as it is. A port that the page sends gets the blocks
// too, and the page is told from which block on.

class Recorder extends AudioWorkletProcessor {
  constructor() {
    super();
    this.port.onmessage = ({ data }) => {
      this.too = data;
      this.port.postMessage("too");
    };
  }

  process(inputs) {
    const channel = inputs[0][0];
    if (!channel || !channel.length) return true;
    this.too?.postMessage(channel.slice());
    this.port.postMessage(channel.slice());
    return true;
  }
}

registerProcessor("recorder", Recorder);
