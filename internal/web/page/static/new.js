// The page of a new pass: pick, drop or record; then send and wait. Without this
// script the form is sent as it is, and the server's page waits.

import { address } from "./address.js";
import { measure } from "./send.js";
import { show } from "./work.js";
import { sentence } from "./words.js";
import * as day from "./day.js";
import * as drop from "./drop.js";
import * as lately from "./lately.js";
import * as machine from "./machine.js";
import * as recorder from "./recordpanel.js";
import * as units from "./units.js";

const byID = (id) => document.getElementById(id);
const form = byID("pass"), clip = byID("clip");

machine.start();
lately.start();
units.start();
drop.guard();
drop.start(byID("drop"));
byID("drop-note").hidden = !matchMedia("(pointer: fine)").matches;
byID("recorder").hidden = false;
byID("day").hidden = byID("class").hidden = false;
recorder.start({
  begun() { clip.value = ""; clip.required = false; },
  entries: () => Object.fromEntries([...new FormData(form)].filter(([name]) => name !== "clip")),
  keep: (file) => drop.put(clip, file),
  measure: () => form.requestSubmit(),
  refused: (problem) => show(form, byID("day"), byID("go")).close(problem),
});
clip.addEventListener("change", () => { if (clip.files.length) byID("recorded").value = day.local(new Date(clip.files[0].lastModified)); });

byID("day").addEventListener("submit", (e) => {
  e.preventDefault();
  form.requestSubmit();
});

form.addEventListener("submit", async (e) => {
  e.preventDefault();
  const work = show(form, byID("day"), byID("go"));
  if (!clip.files.length) {
    work.close({ says: "there is no recording yet", do: "record one, or choose one" }, "record");
    return;
  }
  try {
    lately.keep();
    if (clip.files.length > 1) return await measureMany(work);
    const one = new FormData(form);
    if (byID("recorded").value) one.set("recorded", byID("recorded").value);
    const id = await measure(one, work.report, work.signal);
    day.keep(id, new FormData(byID("day")));
    location.assign(address(`/clips/${id}${byID("hide").checked ? "?predict=1" : ""}`));
  } catch (err) {
    recorder.close();
    work.close(err);
  }
});

// measureMany measures each of the files and goes to the table of all. One that cannot
// be measured does not stop the others; the table's page says why.
async function measureMany(work) {
  const files = [...clip.files], ids = [], refused = [];
  for (const [i, file] of files.entries()) {
    const one = new FormData(form);
    one.set("clip", file);
    one.delete("name"); // each has its own
    one.set("recorded", day.local(new Date(file.lastModified)));
    try {
      ids.push(await measure(one, (step, share) => work.report(`${i + 1} of ${files.length}, ${file.name}: ${step}`, share), work.signal));
    } catch (err) {
      if (err.name === "AbortError" || err.code === "entry") throw err;
      refused.push([file.name, sentence(err.says ? err : { says: "it could not be sent", do: "try it alone" })]);
    }
  }
  sessionStorage.setItem("refused", JSON.stringify(refused));
  location.assign(address(`/many?clips=${ids.join(",")}`));
}
