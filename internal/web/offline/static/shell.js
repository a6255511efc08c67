// The page around the pages. It keeps the worker in which the program runs, passes
// the requests that the service worker hands it on to there, and says what is to be
// said of storage, other tabs and new versions. The pages themselves are in a frame.

const byID = (id) => document.getElementById(id);
const frame = byID("pages");
const others = new BroadcastChannel("topnote of " + location.pathname);
let worker = null, coming = null, letGo = () => {};
let firstPages = {}; // pages by their paths, until the program answers
let module, listens; // of the live view: its program, and a call once it is compiled

// What the live view asks for: its program, and whether it is the first visit.
window.topnoteListen = new Promise((resolve) => { listens = resolve; });

// say shows a sentence, and a button where there is something to do about it.
function say(sentence, label, act) {
  byID("said").textContent = sentence;
  byID("said").hidden = !sentence;
  byID("choice").hidden = !label;
  byID("act").textContent = label ?? "";
  byID("act").onclick = () => { say(""); act(); };
  byID("later").onclick = () => say("");
}

// serve answers the service worker, which asks all tabs: only the one that has the
// worker takes a request.
async function serve({ data, ports }) {
  if (!data.method) return;
  if (!worker && data.method === "GET" && firstPages[data.address]) return answer(firstPages[data.address], ports[0]);
  await coming;
  if (!worker) return ports[0].postMessage({ refused: true });
  data.headers.push("Cookie", document.cookie); // which a service worker does not see
  worker.postMessage(data, [ports[0], data.body]);
}

// answer answers with a page that came as a file.
function answer({ headers, body }, port) {
  const base = new URL("app", location.href).pathname;
  port.postMessage({ status: 200, headers });
  port.postMessage({ chunk: new TextEncoder().encode(body.replaceAll("{{BASE}}", base)) });
  port.postMessage({ end: true });
  port.close();
}

// alone waits until no other tab has the book, and keeps it from then on.
function alone() {
  return new Promise((resolve) => {
    const keep = () => new Promise((free) => { letGo = free; resolve(); });
    navigator.locks.request("topnote of " + location.pathname, { ifAvailable: true }, (lock) => {
      if (lock) return keep();
      say("Topnote is open in another tab or window, and only one at a time can have the book.", "Use it here",
        () => others.postMessage("let go"));
      navigator.locks.request("topnote of " + location.pathname, keep);
    });
  });
}

others.onmessage = ({ data }) => {
  if (data !== "let go" || !worker) return;
  worker.terminate(); // what was being written to the book is there whole or not at all
  worker = null;
  frame.src = "about:blank";
  frame.hidden = true;
  say("Topnote goes on in another tab or window.", "Use it here", () => location.reload());
  letGo();
};

// run starts the program: the first time that of the host, while the service worker is
// set up, and from then on the one that is kept.
function run(first) {
  return new Promise((resolve, reject) => {
    const started = new Worker("worker.js", { type: "module", name: first ? "first" : "" });
    started.onmessage = ({ data }) => {
      if (data.ready) {
        worker = started;
        document.documentElement.dataset.runs = Math.round(performance.now()); // of the last start
        resolve(data);
      }
      if (data.program) window.topnoteProgram = data.program; // compiled still when the page is loaded again at once
      if (data.module) module = data.module;
      if (data.listens) {
        document.documentElement.dataset.listens = Math.round(performance.now());
        listens(module);
      }
      if (data.cookie) document.cookie = data.cookie;
      if (data.ended) {
        worker = null;
        say("The program made a mistake and has ended; the book is safe.", "Start it again", () => location.reload());
        reject(new Error(data.ended));
      }
    };
    started.onerror = () => reject(new Error("the worker could not be loaded"));
  });
}

// register installs the service worker, or its next version, and waits until one
// answers for this page.
async function register() {
  const registration = await navigator.serviceWorker.register("sw.js", { updateViaCache: "none" });
  const offer = (next) => next?.addEventListener("statechange", () => {
    if (next.state === "installed" && navigator.serviceWorker.controller) offerNext(registration);
  });
  offer(registration.installing);
  registration.addEventListener("updatefound", () => offer(registration.installing));
  if (registration.waiting && navigator.serviceWorker.controller) offerNext(registration);
  if (!navigator.serviceWorker.controller) {
    await new Promise((resolve, reject) => {
      navigator.serviceWorker.addEventListener("controllerchange", resolve, { once: true });
      registration.installing?.addEventListener("statechange", ({ target }) => {
        if (target.state === "redundant") reject(new Error("not all files came"));
      });
      if (registration.active) registration.active.postMessage("claim");
    });
  }
  return registration;
}

// keep has the service worker keep all files, if it has not yet: from then on no network
// is needed.
async function keep(registration) {
  const { port1, port2 } = new MessageChannel();
  const answer = new Promise((resolve) => { port1.onmessage = ({ data }) => resolve(data); });
  registration.active.postMessage("keep", [port2]);
  const { kept, says } = await answer;
  if (!kept) return say(`Topnote runs, but could not be kept for use without a network (${says}). See that there is a network, and load the page again.`, "Load it again", () => location.reload());
  document.documentElement.dataset.kept = "yes";
}

// topnoteRestart ends the program in the middle of what it is at and starts it anew. What
// was being written to the book is there whole or not at all.
window.topnoteRestart = () => {
  if (!worker) return;
  worker.terminate();
  worker = null;
  coming = run(false).then(() => { coming = null; });
};

// offerNext offers a version that is loaded whole.
function offerNext(registration) {
  say("A new version of Topnote is loaded.", "Use it now", () => {
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    registration.waiting.postMessage("take over");
  });
}

// askToKeep asks the browser not to delete the book when it wants room.
async function askToKeep(storage) {
  if (!storage) {
    say("This browser keeps nothing for this page, perhaps because the window is private: passes can be measured, but no book can be kept.", "Understood", () => {});
    return;
  }
  if (await navigator.storage?.persisted?.() || localStorage.getItem("told of storage")) return;
  if (await navigator.storage?.persist?.()) return;
  localStorage.setItem("told of storage", "yes");
  say("This browser may delete the book when the phone runs out of room. Add Topnote to the home screen, and take the book along now and then (page Book).", "Understood", () => {});
}

// adopt follows the frame: its title, its place in this page's address, and links to
// files, which a frame cannot save by itself without a network.
function adopt() {
  const pages = frame.contentDocument;
  if (!pages || pages.URL === "about:blank") return;
  document.title = pages.title;
  history.replaceState(null, "", "#" + frame.contentWindow.location.href.slice(new URL("app/", location.href.split("#")[0]).href.length));
  pages.addEventListener("click", (e) => {
    const link = e.target.closest?.("a[download]");
    if (!link) return;
    e.preventDefault();
    save(link.href, link.download);
  });
}

async function save(address, name) {
  const answer = await fetch(address);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(await answer.blob());
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

async function start() {
  if (!("serviceWorker" in navigator) || !navigator.locks) {
    say("Topnote on the phone alone needs an address that begins with https, and a browser of this decade: open it there.");
    return;
  }
  navigator.serviceWorker.addEventListener("message", serve);
  frame.addEventListener("load", adopt);
  const first = !navigator.serviceWorker.controller && !(await navigator.serviceWorker.getRegistration())?.active;
  window.topnoteFirst = first;
  // Where the service worker has this page already, nothing waits for its next version,
  // which without a network takes the browser seconds to give up.
  const controlled = navigator.serviceWorker.controller, registered = register();
  if (!first && !controlled) await registered;
  await alone();
  if (!first) say("Starting Topnote.");
  let go = () => {};
  const program = first ? new Promise((resolve) => { go = resolve; }).then(() => run(true)) : run(false);
  if (first) {
    coming = program.catch(() => {}); // what the pages ask for waits for it
    firstPages = await (await fetch("first.json")).json();
    if (!firstPages["/" + location.hash.slice(1)]) go();
  } else await program;
  if (!controlled) await registered;
  if (byID("choice").hidden) say("");
  const shown = new Promise((resolve) => frame.addEventListener("load", resolve, { once: true }));
  frame.src = "app/" + location.hash.slice(1);
  frame.hidden = false;
  shown.then(() => {
    document.documentElement.dataset.ready = Math.round(performance.now()); // ms since the page began to load
    go(); // the page first, the program behind it
  });
  const { storage } = await program;
  firstPages = {};
  await shown;
  if (!first) worker?.postMessage({ listen: true }); // behind the page
  await keep(await registered);
  await askToKeep(storage);
}

start().catch((err) => say(`Topnote could not be loaded (${err.message}). See that there is a network the first time, and load the page again.`,
  "Load it again", () => location.reload()));
