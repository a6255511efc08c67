// The page that asks for two passes: of each side either one that is measured
// already or a recording that is sent now. When both are there, the browser goes
// to their comparison. Without this script only measured ones can be chosen.

import { address } from "./address.js";
import { measure } from "./send.js";
import { show } from "./work.js";
import * as drop from "./drop.js";
import * as machine from "./machine.js";

const byID = (id) => document.getElementById(id);
const form = byID("choose"), sides = ["first", "second"];
const fileOf = (side) => byID(`${side}-clip`).files[0];

machine.start();
drop.guard();
for (const zone of document.querySelectorAll("[data-drop]")) {
  zone.hidden = false;
  drop.start(zone);
  zone.querySelector("input").addEventListener("change", () => {
    byID("for-files").hidden = !sides.some(fileOf);
  });
}

form.addEventListener("submit", async (e) => {
  if (!sides.some(fileOf)) return; // the server answers
  e.preventDefault();
  const missing = sides.find((side) => !fileOf(side) && !byID(side).value);
  const work = show(form);
  if (missing) {
    work.close({ says: `the ${missing} pass is missing`, do: "choose one, or pick a recording" });
    byID(missing).focus();
    return;
  }
  try {
    const ids = [];
    for (const side of sides) {
      ids.push(fileOf(side) ? await measure(entries(side), (step, share) => work.report(`The ${side}: ${step}`, share), work.signal) : byID(side).value);
    }
    location.assign(address(`/compare?first=${ids[0]}&second=${ids[1]}`));
  } catch (err) {
    work.close(err);
  }
});

// entries gives the form that sends one side's recording with the figures.
function entries(side) {
  const data = new FormData();
  data.set("clip", fileOf(side));
  for (const field of machine.figures()) data.set(field.name, field.value);
  if (byID("machine")) data.set("machine", byID("machine").value);
  return data;
}
