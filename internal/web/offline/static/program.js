// The program in a worker.

import "./wasm_exec.js";

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
