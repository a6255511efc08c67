// Files that are dropped onto the page: they go into the file field nearest to
// where they fall, as if they had been picked there.

// put makes these files those of a field, or the first of them where it takes one.
export function put(input, ...files) {
  const list = new DataTransfer();
  for (const file of input.multiple ? files : files.slice(0, 1)) list.items.add(file);
  input.files = list.files;
  input.dispatchEvent(new Event("change", { bubbles: true }));
}

export function start(zone) {
  const input = zone.querySelector("input[type=file]");
  const carries = (e) => [...(e.dataTransfer?.types ?? [])].includes("Files");
  zone.addEventListener("dragover", (e) => {
    if (!carries(e)) return;
    e.preventDefault();
    zone.classList.add("over");
  });
  zone.addEventListener("dragleave", () => zone.classList.remove("over"));
  zone.addEventListener("drop", (e) => {
    if (!carries(e)) return;
    e.preventDefault();
    zone.classList.remove("over");
    if (e.dataTransfer.files.length) put(input, ...e.dataTransfer.files);
  });
}

// guard keeps a file that misses its zone from being opened in the page's place.
export function guard() {
  for (const kind of ["dragover", "drop"]) window.addEventListener(kind, (e) => e.preventDefault());
}
