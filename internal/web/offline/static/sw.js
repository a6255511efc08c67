// The service worker: it keeps the files of one version, whole or not at all, and
// answers for the page with them, without a network. What the pages ask for it hands
// to the program, by the tab that has it. Nothing goes to any other address.

const scope = new URL(registration.scope).pathname;
const VERSION = `topnote ${scope} {{VERSION}}`;
const FILES = {{FILES}}; // each with its SHA-256

// The programs are compressed by us, so that they are small from any host, and kept as they
// are run: browsers then keep what they compiled of them as well.
const isPacked = (name) => name.endsWith(".bin");
const keptAs = (name) => name.replace(/\.bin$/, ".wasm");
const keptNames = new Set(Object.keys(FILES).map(keptAs));

const types = {
  html: "text/html; charset=utf-8", js: "text/javascript", css: "text/css", json: "application/json", png: "image/png", svg: "image/svg+xml",
  webmanifest: "application/manifest+json", wasm: "application/wasm", txt: "text/plain; charset=utf-8",
};
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self'; frame-src 'self'; " +
  "worker-src 'self'; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'";

// A first version answers at once and is kept once the page runs ("keep"); one that is to
// follow another is whole before it may.
self.addEventListener("install", (e) => { if (registration.active) e.waitUntil(fill()); });
self.addEventListener("activate", (e) => e.waitUntil(settle()));
self.addEventListener("message", (e) => {
  if (e.data === "take over") self.skipWaiting();
  if (e.data === "claim") e.waitUntil(self.clients.claim());
  if (e.data === "keep") {
    e.waitUntil(fill().then(() => e.ports[0].postMessage({ kept: true }), (err) => e.ports[0].postMessage({ kept: false, says: String(err) })));
  }
});

// fill loads every file that is not kept yet and checks it: a host that is being renewed
// may have some of the old version and some of the new one.
async function fill() {
  const cache = await caches.open(VERSION);
  await Promise.all(Object.entries(FILES).map(async ([name, integrity]) => {
    if (await cache.match(keptAs(name))) return;
    const answer = await fetch(name, { integrity, cache: "no-cache" });
    if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
    await keep(cache, keptAs(name), isPacked(name) ? unlzma(new Uint8Array(await answer.arrayBuffer())) : answer.body);
  }));
}

async function keep(cache, name, stream) {
  await cache.put(name, new Response(await new Response(stream).blob(), { headers: {
    "Content-Type": types[name.split(".").pop()], "Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff",
  } }));
}

// settle forgets the versions before this one.
async function settle() {
  for (const name of await caches.keys()) {
    if (name !== VERSION && name.startsWith(`topnote ${scope} `)) await caches.delete(name);
  }
  await self.clients.claim();
}

self.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (url.origin !== location.origin) return e.respondWith(Response.error());
  const within = url.pathname.startsWith(scope) ? url.pathname.slice(scope.length) : null;
  const name = within === "" ? "index.html" : within;
  if (name !== null && (keptNames.has(name) || Object.hasOwn(FILES, name))) return e.respondWith(kept(name, e.request));
  if (name === "sw.js") return; // the browser's own check for a new version
  if (e.request.mode === "navigate" && e.request.destination === "document") {
    return e.respondWith(Response.redirect(scope + (within?.startsWith("app/") ? "#" + within.slice(4) : "")));
  }
  const path = within?.startsWith("app/") ? within.slice(3) : url.pathname;
  const answer = ask(e.request, path + url.search);
  e.respondWith(answer.then((a) => a.response));
  e.waitUntil(answer.then((a) => a.whole));
});

async function kept(name, request) {
  const answer = await (await caches.open(VERSION)).match(name);
  return answer ?? fetch(request);
}

// ask hands a request to the tab that has the program. It gives the response, and a
// promise that is kept when all of it has come.
async function ask(request, address) {
  const body = request.method === "GET" || request.method === "HEAD" ? new ArrayBuffer(0) : await request.arrayBuffer();
  const tabs = (await self.clients.matchAll({ type: "window", includeUncontrolled: true }))
    .filter((c) => [scope, scope + "index.html"].includes(new URL(c.url).pathname));
  const answers = tabs.map((tab) => from(tab, {
    method: request.method, address, headers: [...request.headers].flat(), body: tabs.length > 1 ? body.slice(0) : body,
  }));
  return Promise.any(answers).catch(() => ({ response: new Response("Topnote is not open.", { status: 503 }), whole: null }));
}

function from(tab, message) {
  const { port1, port2 } = new MessageChannel();
  tab.postMessage(message, [port2, message.body]);
  return new Promise((resolve, reject) => {
    let out, done;
    const whole = new Promise((r) => { done = r; });
    port1.onmessage = ({ data }) => {
      if (data.refused) reject(new Error("refused"));
      if (data.chunk) out.enqueue(data.chunk);
      if (data.end) { try { out.close(); } catch { /* a response without a body */ } done(); }
      if (!data.status) return;
      const stream = new ReadableStream({ start(controller) { out = controller; } });
      const empty = [204, 205, 304].includes(data.status) || message.method === "HEAD";
      resolve({ response: new Response(empty ? null : stream, { status: data.status, headers: data.headers }), whole });
    };
  });
}

// The decoder, as in unlzma.js.

{{UNLZMA}}