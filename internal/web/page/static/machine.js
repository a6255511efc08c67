// A machine that is chosen brings its figures along; they stay to be changed.

export const figures = ["limit", "idle", "clutch", "strokes", "cylinders"];

export function start() {
  const choice = document.getElementById("machine");
  const fields = figures.map((name) => document.getElementById(name));
  if (!choice || fields.includes(null)) return;
  choice.addEventListener("change", () => {
    const machine = choice.selectedOptions[0].dataset;
    if (machine.strokes === undefined) return; // none: what is entered stays
    figures.forEach((name, i) => { fields[i].value = machine[name]; });
  });
}
