// The few words and figures that scripts write by themselves. Speeds are read
// off to the nearest ten, with commas between thousands, as everywhere else in
// Topnote; times to a tenth of a second.

export function tens(rpm) {
  const n = Math.abs(rpm) < 10 ? Math.round(rpm) : 10 * Math.round(rpm / 10);
  return String(n).replace(/\B(?=(\d{3})+$)/g, ",");
}

export function seconds(t) {
  return t.toFixed(1).replace(/^-(0\.0)$/, "$1") + " s";
}

const nth = ["", "", "2nd", "3rd", "4th"];

// firing says how the engine fires, "" where that was not told.
export function firing(n, strokes) {
  if (!n) return "";
  const turn = strokes === 4 ? "cycle" : "turn";
  if (n === 1) return `firing every ${turn}`;
  return strokes === 4 ? `firing every ${nth[n]} ${turn}` : `four-stroking, every ${nth[n]} ${turn}`;
}

// sentence puts what is wrong and what to do about it together.
export function sentence(problem) {
  const whole = problem.do ? `${problem.says}; ${problem.do}` : problem.says;
  const text = whole.charAt(0).toUpperCase() + whole.slice(1);
  return /[.!?]$/.test(text) ? text : text + ".";
}
