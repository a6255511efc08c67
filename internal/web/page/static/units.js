// Metric and US units in forms: the switch changes the units behind the labels
// and turns what is entered already, so that 20 °C becomes 68 °F and not 20 °F.
// The choice is remembered in a cookie, which the server reads when it writes a
// page. Speeds are in rpm everywhere.

const round = (v, decimals) => String(Number(v.toFixed(decimals)));

// The foot and the inch of mercury (conventional, 3386.389 Pa) as package engine
// has them.
const turn = {
  temp: { us: (c) => round(c * 9 / 5 + 32, 1), metric: (f) => round((f - 32) * 5 / 9, 1) },
  height: { us: (m) => round(m / 0.3048, 0), metric: (ft) => round(ft * 0.3048, 0) },
  pressure: { us: (hpa) => round(hpa / 33.86389, 2), metric: (inhg) => round(inhg * 33.86389, 1) },
};

// convert turns the number in text into the units to, "us" or "metric"; text
// that is no bare number has its unit behind it or is not understood, and stays.
export function convert(quantity, text, to) {
  const number = text.trim().replace(",", ".");
  if (number === "" || !turn[quantity] || Number.isNaN(Number(number))) return text;
  return turn[quantity][to](Number(number));
}

export function start() {
  for (const set of document.querySelectorAll("[data-units]")) {
    set.addEventListener("change", (e) => change(set.form ?? document, e.target.value));
  }
}

function change(form, to) {
  for (const label of form.querySelectorAll("[data-metric]")) {
    label.textContent = to === "us" ? label.dataset.us : label.dataset.metric;
  }
  for (const input of form.querySelectorAll("[data-quantity]")) {
    input.value = convert(input.dataset.quantity, input.value, to);
  }
  document.cookie = `units=${to}; path=/; max-age=31536000; samesite=strict`;
}
