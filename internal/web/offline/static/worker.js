// The worker in which the program runs: it fetches and starts the WebAssembly, gives
// it the book's storage, and hands requests to it and answers back.

import { compile, start as startProgram } from "./program.js";

const base = new URL("app", location.href).pathname;
const started = start();

async function start() {
  const first = self.name === "first";
  if (first) await listen(first); // the live view's program is small and comes before this one
  const [module, database] = await Promise.all([compile("topnote", first), import("./database.js").then((m) => m.openDatabase())]);
  globalThis.topnoteDatabase = database;
  await startProgram(module, [base], (err) => postMessage({ ended: err || "the program ended" }));
  postMessage({ ready: true, storage: database.keeps });
  postMessage({ program: module });
}

// listen compiles the program of the live view, which runs in a worker of its own.
async function listen(first) {
  postMessage({ module: await compile("listen", first) }); // by itself: Firefox takes none out of a message
  postMessage({ listens: true });
}

started.catch((err) => postMessage({ ended: String(err) }));

onmessage = async ({ data, ports }) => {
  if (data.listen) return listen(false);
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
