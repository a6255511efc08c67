// The programs in a worker: "topnote", which answers the pages, and "listen", that of the
// live view.

import "./wasm_exec.js";
import "./unlzma.js";

const PROGRAMS = {{PROGRAMS}}; // each with the SHA-256 of what is loaded

// compile compiles a program: the kept one, or first the one that comes from the host, and
// the other where there is none.
export async function compile(name, first) {
  return first ? fromHost(name).catch(() => fromKept(name)) : fromKept(name).catch(() => fromHost(name));
}

async function fromKept(name) {
  const kept = await fetch(`${name}.wasm`);
  if (!kept.ok) throw new Error(kept.statusText);
  return WebAssembly.compileStreaming(kept).catch(() => WebAssembly.compileStreaming(fetch(`${name}.wasm`))); // a browser may end the service worker in the middle
}

// fromHost compiles a program while it is unpacked.
async function fromHost(name) {
  const packed = await fetch(`${name}.bin`, { integrity: PROGRAMS[name] });
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
