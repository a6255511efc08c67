// What this browser used lately, for one tap: the machines of the book as large
// buttons, the last used first, and the maximum speeds that were entered. Both stay in
// this browser.

const byID = (id) => document.getElementById(id);
const most = { machines: 6, limits: 4 };

const read = (what) => { try { return JSON.parse(localStorage.getItem(what)) ?? []; } catch { return []; } };
const put = (what, value) => {
  if (!value) return;
  try { localStorage.setItem(what, JSON.stringify([value, ...read(what).filter((v) => v !== value)].slice(0, most[what]))); } catch { /* nothing may be kept here */ }
};

// keep remembers what the form has, when it is sent.
export function keep() {
  put("machines", byID("machine")?.value);
  put("limits", byID("limit").value.trim());
}

export function start() {
  const list = byID("machine"), used = read("machines");
  if (list) {
    const place = (name) => (used.includes(name) ? used.indexOf(name) : used.length);
    const names = [...list.options].map((o) => o.value).filter(Boolean).sort((a, b) => place(a) - place(b));
    for (const name of names.slice(0, most.machines)) {
      button("machine-tiles", name, () => {
        list.value = list.value === name ? "" : name;
        list.dispatchEvent(new Event("change", { bubbles: true }));
      });
    }
    const press = () => { for (const tile of byID("machine-tiles").children) tile.setAttribute("aria-pressed", String(tile.textContent === list.value)); };
    list.addEventListener("change", press);
    press();
  }
  for (const limit of read("limits")) button("lately", `${limit} rpm`, () => { byID("limit").value = limit; });
}

function button(box, text, press) {
  const one = Object.assign(document.createElement("button"), { type: "button", textContent: text });
  one.addEventListener("click", press);
  byID(box).append(one);
  byID(box).hidden = false;
}
