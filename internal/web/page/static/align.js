// Two passes on one axis of time: 0 is where the throttle opens. Where that was
// not found in both, both begin at 0. All in seconds.

// aligned reports whether the opening was found in all passes.
export function aligned(passes) {
  return passes.every((p) => typeof p.opens === "number");
}

// openings gives for each pass the time to subtract from its own.
export function openings(passes) {
  return passes.map((p) => (aligned(passes) ? p.opens : 0));
}

// span gives the first and the last time of the common axis.
export function span(passes) {
  const at = openings(passes);
  return [
    Math.min(...passes.map((_, i) => -at[i])),
    Math.max(...passes.map((p, i) => p.duration - at[i])),
  ];
}

// within holds a time inside the recording of a pass.
export function within(t, pass) {
  return Math.max(0, Math.min(pass.duration, t));
}

// readingAt gives the index of the reading nearest to a time of the pass, or -1
// where none is near: within half a hop and a little.
export function readingAt(pass, t) {
  const { times } = pass;
  let low = 0, high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] < t) low = middle + 1; else high = middle;
  }
  let best = -1, off = 0.05;
  for (const i of [low - 1, low]) {
    if (i >= 0 && i < times.length && Math.abs(times[i] - t) <= off) {
      best = i;
      off = Math.abs(times[i] - t);
    }
  }
  return best;
}
