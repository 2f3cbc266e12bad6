// What the page says of a reading that reaches the site later than it was taken. Only the region of the last
// reading changes: whoever types meanwhile keeps field, text and focus.

const region = () => document.getElementById("result");

function say(text) {
  const line = document.createElement("p");
  line.textContent = text;
  region().classList.add("sheet");
  region().replaceChildren(line);
}

export function showKept(entry) {
  say(`${entry.label} is kept on this computer. Its verdict comes with the network.`);
  region().dataset.waitsFor = entry.key;
}

export function showRefused(entry) {
  if (region().dataset.waitsFor === entry.key) say(`${entry.label} was refused; above it says why.`);
}

function resultIn(html) {
  return new DOMParser().parseFromString(html, "text/html").getElementById("result");
}

// The newest takes the place that waits for it; older ones stand above it, a line each.
export function showDelivered(entry, html) {
  const found = resultIn(html);
  const line = found?.querySelector(".result-line");
  if (!line) return;
  const { waitsFor } = region().dataset;
  if (waitsFor !== entry.key && region().childElementCount > 0) {
    region().prepend(line);
    return;
  }
  const older = [...region().querySelectorAll(":scope > .result-line")];
  region().replaceChildren(...older, ...found.children);
  region().classList.add("sheet");
  delete region().dataset.waitsFor;
}
