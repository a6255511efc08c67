// Checks the page for what excludes people and gives a list of sentences.
// Contrast and sizes are computed here; names and roles are read from the
// browser's own tree by the test.
// Sources: WCAG 2.2, 1.4.3 and its formula of contrast, 1.4.11, 2.4.3, 2.5.5
// (44 by 44 pixels).
(() => {
  const found = [];
  const shown = (e) => e.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true }) && e.getBoundingClientRect().width > 0;
  const name = (e) => `<${e.tagName.toLowerCase()}${e.id ? ` id=${e.id}` : ""}> ${(e.innerText || e.textContent || "").trim().slice(0, 30)}`;

  // The page as a whole.
  if (document.documentElement.lang !== "en") found.push("the page names no language");
  if (!document.title.trim()) found.push("the page has no title");
  const ids = [...document.querySelectorAll("[id]")].map((e) => e.id);
  for (const id of new Set(ids.filter((id, i) => ids.indexOf(id) !== i))) found.push(`two elements are called ${id}`);
  const headings = [...document.querySelectorAll("h1,h2,h3,h4")].filter(shown);
  if (headings.filter((h) => h.tagName === "H1").length !== 1) found.push("the page has not one first heading");
  headings.reduce((before, h) => {
    const level = Number(h.tagName[1]);
    if (level > before + 1) found.push(`the heading ${name(h)} leaves a level out`);
    return level;
  }, 0);
  for (const attribute of ["aria-labelledby", "aria-describedby", "for"]) {
    for (const e of document.querySelectorAll(`[${attribute}]`)) {
      for (const id of e.getAttribute(attribute).split(" ")) {
        if (!document.getElementById(id)) found.push(`${name(e)} points to ${id}, which is not there`);
      }
    }
  }
  if (document.querySelector("[tabindex]:not([tabindex='0']):not([tabindex='-1'])")) found.push("an element jumps the queue of the Tab key");

  // Controls are large enough.
  for (const e of document.querySelectorAll("a[href], button, input, select, textarea, summary, audio, [role=slider]")) {
    if (!shown(e) || e.matches(".skip, p > a, [type=hidden]")) continue; // links in a sentence are excepted there
    const box = (e.matches("[type=radio], [type=checkbox]") ? e.closest("label") ?? e : e).getBoundingClientRect();
    if (box.width < 44 || box.height < 44) found.push(`${name(e)} is ${Math.round(box.width)} by ${Math.round(box.height)} dots`);
  }

  // Text has contrast to what is behind it.
  const numbers = (colour) => colour.match(/[\d.]+/g).map(Number);
  const light = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const ground = (e) => {
    for (let at = e; at; at = at.parentElement) {
      const colour = numbers(getComputedStyle(at).backgroundColor);
      if (colour.length === 3 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  const contrast = (a, b) => {
    const [low, high] = [light(a), light(b)].sort((x, y) => x - y);
    return (high + 0.05) / (low + 0.05);
  };
  let words = 0;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const e = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || e.closest("script, noscript, title, desc, option") || !shown(e) || e.closest("button:disabled")) continue;
    words++;
    const style = getComputedStyle(e), size = parseFloat(style.fontSize);
    const colour = numbers(e.closest("svg") ? style.fill : style.color);
    const least = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700) ? 3 : 4.5;
    const ratio = contrast(colour, ground(e));
    if (ratio < least) found.push(`${name(e)} has a contrast of ${ratio.toFixed(2)}`);
  }
  if (words < 10) found.push(`only ${words} texts were looked at`);
  for (const e of document.querySelectorAll("input, select, textarea")) {
    if (!shown(e) || e.matches("[type=radio], [type=checkbox], [type=file]")) continue;
    const style = getComputedStyle(e), ratio = contrast(numbers(style.borderTopColor), ground(e.parentElement));
    if (ratio < 3) found.push(`the edge of ${name(e)} has a contrast of ${ratio.toFixed(2)}`);
  }
  return [...new Set(found)];
})()
