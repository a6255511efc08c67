// Files that are dropped onto the page: they go into the file field nearest to
// where they fall, as if they had been picked there.

// put makes file the one file of a field.
export function put(input, file) {
  const list = new DataTransfer();
  list.items.add(file);
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
    const [file] = e.dataTransfer.files;
    if (file) put(input, file);
  });
}

// guard keeps a file that misses its zone from being opened in the page's place.
export function guard() {
  for (const kind of ["dragover", "drop"]) window.addEventListener(kind, (e) => e.preventDefault());
}
