// What is typed but not sent yet survives a reload, and a caution once read stays folded until the browser
// is closed.

const FIELDS = ["reads", "note", "repeats"];

function placeOf(id) {
  const form = document.getElementById("entry");
  const check = form ? `${form.elements.target.value}|${form.elements.point.value}` : "";
  return `logbook.draft|${location.pathname}|${check}|${id}`;
}

export function keepDraft(element) {
  if (FIELDS.includes(element.id)) sessionStorage.setItem(placeOf(element.id), element.value);
}

export function dropDrafts() {
  for (const id of FIELDS) sessionStorage.removeItem(placeOf(id));
}

export function restoreDrafts() {
  for (const id of FIELDS) {
    const field = document.getElementById(id);
    const draft = sessionStorage.getItem(placeOf(id));
    if (!field || field.value || !draft) continue;
    field.value = draft;
    if (id !== "reads") document.getElementById("more").open = true;
  }
}

// On a telephone the whole text stands open at the first look of a session, one line of it afterwards.
export function foldNeverConnect() {
  const strip = document.getElementById("never");
  if (!strip) return;
  const more = document.getElementById("never-more");
  const place = `logbook.seen|${location.pathname}|never`;
  const show = (isOpen) => {
    strip.classList.toggle("folded", !isOpen);
    more.textContent = isOpen ? "less" : "more";
    more.setAttribute("aria-expanded", String(isOpen));
  };
  more.hidden = false;
  more.addEventListener("click", () => show(strip.classList.contains("folded")));
  show(!sessionStorage.getItem(place));
  sessionStorage.setItem(place, "seen");
}

export function foldSeenCautions() {
  for (const caution of document.querySelectorAll("details[data-caution]")) {
    const place = `logbook.seen|${location.pathname}|${caution.dataset.caution}`;
    if (sessionStorage.getItem(place)) caution.open = false;
    caution.addEventListener("toggle", () => {
      if (caution.open) sessionStorage.removeItem(place);
      else sessionStorage.setItem(place, "seen");
    });
  }
}
