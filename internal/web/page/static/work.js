// The panel that shows how far a recording is: one sentence, a bar, a button to
// stop. The sentence is a live region; it changes with each step and each
// quarter, not with each percent, so that a screen reader is not talked over.

import { sentence } from "./words.js";

const byID = (id) => document.getElementById(id);

// atFault gives the id of the field that a refused entry names: its sentence begins
// with it.
function atFault(err) {
  const [name] = (err.says ?? "").toLowerCase().split(":");
  return document.querySelector(`[name="${CSS.escape(name)}"]`)?.id;
}

// show opens the panel in the place of parts of the page and gives what reports
// into it.
export function show(...parts) {
  const stopper = new AbortController();
  const says = byID("work-says"), bar = byID("work-bar");
  byID("work-problem").textContent = "";
  parts.forEach((part) => { part.hidden = true; });
  byID("work").hidden = false;
  byID("work-head").focus();
  byID("work-stop").onclick = () => stopper.abort();
  return {
    signal: stopper.signal,
    report(step, share) {
      if (share === null) bar.removeAttribute("value");
      else bar.value = share;
      const text = share >= 0.25 ? `${step}, ${25 * Math.floor(4 * share)} %` : step;
      if (says.textContent !== text) says.textContent = text;
    },
    // close puts the parts back, says why, and puts the focus on the field at fault.
    close(err, field = atFault(err)) {
      byID("work").hidden = true;
      parts.forEach((part) => { part.hidden = false; });
      const problem = byID("work-problem");
      problem.textContent = err.name === "AbortError" ? "Stopped. Nothing was kept." :
        sentence(err.says ? err : { says: "something went wrong in this page", do: "load it again" });
      problem.scrollIntoView({ block: "center" });
      const at = byID(field);
      at?.setAttribute("aria-invalid", "true");
      at?.setAttribute("aria-errormessage", "work-problem");
      at?.addEventListener("input", () => at.removeAttribute("aria-invalid"), { once: true });
      (at ?? byID("measure"))?.focus();
    },
  };
}
