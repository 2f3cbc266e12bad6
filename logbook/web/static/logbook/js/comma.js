// A telephone set to a language with a decimal comma may offer no point at all. A comma is never read as one
// silently: the page asks, and one tap writes the point.

const COMMA = /^\s*([+\-\u2212]?\d+),(\d+)(\s*[^\d.,].*)?$/u;

function withPoint(text) {
  const [, whole, part, rest = ""] = COMMA.exec(text) ?? [];
  return whole === undefined ? "" : `${whole}.${part}${rest}`;
}

// Returns whether the field holds a number with a comma, about which the page now asks.
export function askAboutComma(field, place) {
  const meant = withPoint(field.value);
  if (!meant) {
    place.querySelector(".comma")?.remove();
    return false;
  }
  const line = document.createElement("p");
  const write = document.createElement("button");
  line.className = "comma";
  write.type = "button";
  write.className = "plain";
  write.textContent = `Write ${meant}`;
  write.addEventListener("click", () => {
    field.value = meant;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.focus();
  });
  line.append(`Decimal comma: did you mean ${meant}?`, write);
  place.replaceChildren(line);
  return true;
}
