// Placing on a board picture: a click or the arrow keys name the place, in percent of the picture.

const form = document.getElementById("placing");
const frame = document.getElementById("picture-frame");
const image = document.getElementById("picture-image");
const cross = document.getElementById("cross");
const readout = document.getElementById("cross-readout");
const fields = { x: form.elements.x, y: form.elements.y };
const STEP = 0.25;
const LARGE_STEP = 5;
const MOVES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

// Read by the script, the picture may be as wide as the page.
frame.classList.add("fluid");

function at() {
  return { x: fields.x.value === "" ? 50 : Number(fields.x.value), y: fields.y.value === "" ? 50 : Number(fields.y.value) };
}

function move(x, y) {
  const inside = (value) => Math.min(100, Math.max(0, value));
  fields.x.value = inside(x).toFixed(2);
  fields.y.value = inside(y).toFixed(2);
  show();
}

function show() {
  const { x, y } = at();
  const box = cross.viewBox.baseVal;
  cross.firstElementChild.setAttribute("transform", `translate(${(box.width * x) / 100} ${(box.height * y) / 100})`);
  cross.removeAttribute("hidden");
  readout.textContent = `${x.toFixed(2)} % from the left, ${y.toFixed(2)} % from the top`;
}

function send() {
  // Without a button as its sender, the form carries the typed numbers alone.
  form.submit();
}

image.addEventListener("focus", show);
image.addEventListener("keydown", (event) => {
  const step = MOVES[event.key];
  if (!step) return;
  event.preventDefault();
  const size = event.shiftKey ? LARGE_STEP : STEP;
  const { x, y } = at();
  move(x + step[0] * size, y + step[1] * size);
});

image.addEventListener("click", (event) => {
  event.preventDefault();
  // A click by the keyboard has no place of its own.
  if (event.detail > 0) {
    const box = image.getBoundingClientRect();
    move(((event.clientX - box.left) / box.width) * 100, ((event.clientY - box.top) / box.height) * 100);
  } else if (fields.x.value === "" || fields.y.value === "") {
    show();
    return;
  }
  send();
});

for (const field of Object.values(fields)) field.addEventListener("input", show);
