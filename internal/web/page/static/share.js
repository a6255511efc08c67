// Sharing a message with the picture of the result, by what the phone has for it.

import { address } from "./address.js";

// start shows the button where the browser can share. The picture is fetched before it
// is pressed: some browsers want the finger still on the button.
export async function start(area, button, said) {
  if (!navigator.share) return;
  button.hidden = false;
  let files = [];
  button.addEventListener("click", async () => {
    try {
      await navigator.share({ text: area.value, ...(navigator.canShare?.({ files }) ? { files } : {}) });
      said.textContent = "Shared.";
    } catch (err) {
      if (err.name !== "AbortError") said.textContent = "This could not be shared. Copy the message instead.";
    }
  });
  if (!button.dataset.picture) return;
  const picture = await fetch(address(button.dataset.picture)).catch(() => null);
  if (picture?.ok) files = [new File([await picture.blob()], "result.png", { type: "image/png" })];
}
