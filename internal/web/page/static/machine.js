// A machine that is chosen brings its figures along; they stay to be changed.

// figures gives the fields of an engine, its speeds and what is known of it.
export const figures = () => [...document.querySelectorAll("[data-figure]")];

export function start() {
  const choice = document.getElementById("machine");
  if (!choice) return;
  choice.addEventListener("change", () => {
    const machine = choice.selectedOptions[0].dataset;
    if (machine.strokes === undefined) return; // none: what is entered stays
    for (const field of figures()) {
      field.value = machine[field.id] || (field.tagName === "SELECT" ? "unknown" : "");
    }
  });
}
