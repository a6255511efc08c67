// The program in a worker.

import "./wasm_exec.js";
import "./unlzma.js";

const PROGRAM = "{{PROGRAM}}"; // SHA-256 of topnote.bin

// compile compiles the program: the kept one, or the first time, and where it is kept no
// longer, the one that comes from the host, while it is unpacked.
export async function compile(first) {
  const kept = first ? null : await fetch("topnote.wasm");
  if (kept?.ok) {
    return WebAssembly.compileStreaming(kept).catch(() => WebAssembly.compileStreaming(fetch("topnote.wasm"))); // a browser may end the service worker in the middle
  }
  const packed = await fetch("topnote.bin", { integrity: PROGRAM });
  const plain = globalThis.unlzma(new Uint8Array(await packed.arrayBuffer()));
  return WebAssembly.compileStreaming(new Response(plain, { headers: { "Content-Type": "application/wasm" } }));
}

// start runs a compiled program; its promise is kept once the program is ready. ended is
// called when it has ended, with what went wrong or "".
export async function start(module, args, ended) {
  const ready = new Promise((resolve) => { globalThis.topnoteReady = resolve; });
  const go = new globalThis.Go();
  go.argv = ["topnote", ...args];
  const instance = await WebAssembly.instantiate(module, go.importObject);
  go.run(instance).then(() => ended(""), (err) => ended(String(err)));
  await ready;
}
