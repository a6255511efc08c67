// What was entered of the day before a pass was measured, air and screws and
// notes, waits in this browser's tab until the pass is written into the book. It
// is not sent with the recording.

const named = (id) => `day of ${id}`;

// local gives an instant as a field of a date and a time has it.
export function local(at) {
  return new Date(at - 60000 * at.getTimezoneOffset()).toISOString().slice(0, 16);
}

export function keep(id, entries) {
  const some = [...entries].filter(([name, value]) => value && name !== "units");
  if (some.length) sessionStorage.setItem(named(id), JSON.stringify(some));
}

// fill puts what was kept for a clip into the fields of the form for the book and
// opens it; what stands there already stays.
export function fill(id, store) {
  const kept = JSON.parse(sessionStorage.getItem(named(id)) ?? "[]");
  const form = store.querySelector("form");
  for (const [name, value] of kept) {
    const field = form.elements[name];
    if (field && !field.value) field.value = value;
  }
  if (kept.some(([name]) => name !== "recorded")) store.open = true;
}
