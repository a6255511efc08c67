// Copying a text: by the clipboard where the page may use it, by selecting it
// where not (a page over plain http from another computer).

export async function copy(area) {
  try {
    await navigator.clipboard.writeText(area.value);
    return true;
  } catch {
    area.select();
    return document.execCommand("copy");
  }
}

export function start(area, button, said) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    said.textContent = await copy(area) ? "Copied." : "Select the text and copy it by hand.";
  });
}
