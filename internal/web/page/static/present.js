// A view for a wall: large letters, nothing beside the verdict, the trace and the
// buttons that play it.

export function start() {
  const button = document.getElementById("present"), root = document.documentElement;
  const set = (on) => {
    root.classList.toggle("present", on);
    button.setAttribute("aria-pressed", String(on));
    button.textContent = on ? "Leave the presenter view" : "Presenter view";
    for (const part of document.querySelectorAll("#trace-part")) part.open = true;
    document.dispatchEvent(new Event("present"));
    scrollTo(0, 0);
  };
  button?.addEventListener("click", () => {
    const on = !root.classList.contains("present");
    set(on);
    if (on) root.requestFullscreen?.().catch(() => {});
    else if (document.fullscreenElement) document.exitFullscreen();
  });
  document.addEventListener("fullscreenchange", () => { if (!document.fullscreenElement) set(false); });
}
