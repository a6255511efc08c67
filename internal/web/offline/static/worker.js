// The worker in which the program runs: it fetches and starts the WebAssembly, gives
// it the book's storage, and hands requests to it and answers back.

import { start as startProgram } from "./program.js";

const PROGRAM = "{{PROGRAM}}"; // SHA-256 of topnote.bin
const base = new URL("app", location.href).pathname;
const started = start();

// compile compiles the program: the kept one, or the first time, and where it is kept no
// longer, the one that comes from the host, while it is unpacked.
async function compile() {
  const kept = self.name === "first" ? null : await fetch("topnote.wasm");
  if (kept?.ok) {
    return WebAssembly.compileStreaming(kept).catch(() => WebAssembly.compileStreaming(fetch("topnote.wasm"))); // a browser may end the service worker in the middle
  }
  const packed = await fetch("topnote.bin", { integrity: PROGRAM });
  const plain = packed.body.pipeThrough(new DecompressionStream("gzip"));
  return WebAssembly.compileStreaming(new Response(plain, { headers: { "Content-Type": "application/wasm" } }));
}

async function start() {
  const [module, database] = await Promise.all([compile(), import("./database.js").then((m) => m.openDatabase())]);
  globalThis.topnoteDatabase = database;
  await startProgram(module, [base], (err) => postMessage({ ended: err || "the program ended" }));
  postMessage({ ready: true, module, storage: database.keeps });
}

started.catch((err) => postMessage({ ended: String(err) }));

onmessage = async ({ data, ports }) => {
  const port = ports[0];
  await started;
  globalThis.topnoteAnswer(data.method, data.address, data.headers, new Uint8Array(data.body), {
    head(status, headers) {
      const kept = [];
      for (let i = 0; i < headers.length; i += 2) {
        if (headers[i] === "Set-Cookie") postMessage({ cookie: headers[i + 1] });
        else kept.push([headers[i], headers[i + 1]]);
      }
      port.postMessage({ status, headers: kept });
    },
    chunk(bytes) { port.postMessage({ chunk: bytes }, [bytes.buffer]); },
    end() { port.postMessage({ end: true }); port.close(); },
  });
};
