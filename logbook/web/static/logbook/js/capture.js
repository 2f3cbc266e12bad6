// The capture viewer. Each zoom fetches its own lowest and highest, so that no range ever needs all points.

import { drawCapture } from "./drawing.js";
import { Axis, written } from "./axes.js";
import { fillTable } from "./capture-table.js";

const MARGIN = { left: 76, right: 12, top: 10, bottom: 30 };
const root = document.getElementById("capture");
const canvas = document.getElementById("capture-canvas");
const readout = document.getElementById("capture-readout");
const live = document.getElementById("capture-live");
const tools = document.getElementById("capture-tools");
const logX = document.getElementById("capture-log-x");
const logY = document.getElementById("capture-log-y");
const chooser = document.getElementById("capture-channel");
const logNote = document.getElementById("capture-log-note");
const of = root.dataset.of;
// Of the lines of a spectrum only the highest of each stretch means anything.
const topsOnly = of === "spectrum";
const mask = JSON.parse(root.dataset.mask || "[]");

const state = { from: null, to: null, cursor: null, view: null, channel: root.dataset.channel, asked: 0 };
let waiting = 0;

function colours() {
  const of = (name) => getComputedStyle(live.querySelector(`.swatch.${name}`)).color;
  return { ink: of("ink"), quiet: of("quiet-ink"), rule: of("rule"), trace: of("trace"), mask: of("mask") };
}

function axes() {
  const { view } = state;
  const width = canvas.clientWidth;
  const height = canvas.clientHeight;
  const x = new Axis(state.from, state.to, MARGIN.left, width - MARGIN.right, logX.checked);
  const levels = [...view.low, ...view.high, ...shownMask().flatMap((line) => line.map(([, level]) => level))];
  const isLog = isLogY(view) && view.high.some((level) => level > 0);
  const drawn = isLog ? levels.filter((level) => level > 0) : levels;
  const low = drawn.reduce((least, level) => Math.min(least, level), Infinity);
  const high = drawn.reduce((most, level) => Math.max(most, level), -Infinity);
  const short = Math.max(Number(root.dataset.span) - (high - low), 0) / 2;
  const room = isLog ? 0 : short + (high - low + 2 * short) * 0.06 || Math.abs(high) * 0.1 || 1;
  const y = new Axis(low - room, high + room, height - MARGIN.bottom, MARGIN.top, isLog);
  return { x, y };
}

function isLogY(view) {
  return logY.checked && takesLogY(view);
}

// Levels in decibels are logarithms already, and a phase passes through 0.
function takesLogY(view) {
  return !view.unit.startsWith("dB") && view.unit !== "°";
}

function noteLogY() {
  const { view } = state;
  document.getElementById("capture-log-y-label").hidden = !takesLogY(view);
  if (!isLogY(view)) { logNote.textContent = ""; return; }
  const what = view.samples_each > 1 ? "stretches" : "points";
  const gone = view.high.filter((level) => level <= 0).length;
  const cut = view.low.filter((level) => level <= 0).length - gone;
  const said = [];
  if (gone) said.push(`${gone} of ${view.low.length} ${what} lie at 0 or below and cannot be drawn on log y`);
  if (cut) said.push(`${cut} of ${view.low.length} ${what} reach 0 or below and are drawn from the bottom`);
  logNote.textContent = gone === view.low.length ? "No point lies above 0: log y cannot be drawn." : said.join("; ");
}

function shownMask() {
  return state.channel === root.dataset.channel ? mask : [];
}

function draw() {
  if (!state.view) return;
  drawCapture(canvas, state.view, { ...axes(), margin: MARGIN, mask: shownMask(), cursor: state.cursor, colours: colours() });
}

async function load() {
  const number = (state.asked += 1);
  const room = Math.max(50, Math.min(2000, Math.round((canvas.clientWidth - MARGIN.left) * 1.5)));
  const query = new URLSearchParams({ of, channel: state.channel, buckets: room });
  if (logX.checked) query.set("axis", "log");
  if (state.from !== null) query.set("start", state.from);
  if (state.to !== null) query.set("stop", state.to);
  let view;
  try {
    const answer = await fetch(`${root.dataset.view}?${query}`, { headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(String(answer.status));
    view = await answer.json();
  } catch {
    readout.textContent = "This range could not be fetched; move or zoom to try again.";
    return;
  }
  // A later question may have been answered first.
  if (number !== state.asked) return;
  state.view = topsOnly ? { ...view, low: view.high } : view;
  if (state.from === null) [state.from, state.to] = [view.first, view.last];
  // A logarithmic axis begins where its first sample above 0 lies.
  if (logX.checked && state.from <= 0) [state.from] = view.x;
  draw();
  tell();
  noteLogY();
  fillTable(state.view, topsOnly);
}

function soon() {
  clearTimeout(waiting);
  waiting = setTimeout(load, 80);
}

function show(from, to) {
  const { first, last, samples } = state.view;
  const least = ((last - first) / samples) * 4;
  let width = Math.min(Math.max(to - from, least), last - first);
  let begins = Math.min(Math.max(from, first), last - width);
  if (logX.checked && begins <= 0) { begins = (last - first) / samples; width = Math.min(width, last - begins); }
  state.from = begins;
  state.to = begins + width;
  draw();
  soon();
}

function zoom(factor, around) {
  const { x } = axes();
  const middle = x.place(around ?? state.cursor ?? x.value((x.begins + x.ends) / 2));
  show(x.value(middle - (middle - x.begins) * factor), x.value(middle + (x.ends - middle) * factor));
}

function move(share) {
  const { x } = axes();
  const step = (x.ends - x.begins) * share;
  show(x.value(x.begins + step), x.value(x.ends + step));
}

function bucketAt(value) {
  const { x } = state.view;
  let low = 0;
  let high = x.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (x[middle] <= value) low = middle; else high = middle - 1;
  }
  return low;
}

function tell() {
  if (state.cursor === null || !state.view) { readout.textContent = ""; return; }
  const { view } = state;
  const place = bucketAt(state.cursor);
  const low = written(view.low[place], view.unit, 5);
  const high = written(view.high[place], view.unit, 5);
  const level = low === high ? low : `${low} to ${high}`;
  readout.textContent = `${view.x_name} ${written(view.x[place], view.x_unit, axes().x.digits + 2)}: ${level}`;
}

function point(value) {
  state.cursor = Math.min(Math.max(value, state.from), state.to);
  draw();
  tell();
}

function step(direction) {
  const { x } = axes();
  const at = state.cursor === null ? (x.begins + x.ends) / 2 : x.place(state.cursor) + direction * 4;
  point(x.value(Math.min(Math.max(at, x.begins), x.ends)));
}

function all() {
  show(state.view.first, state.view.last);
}

function first() {
  show(state.view.first, state.view.first + state.to - state.from);
}

function last() {
  show(state.view.last - (state.to - state.from), state.view.last);
}

// A few periods around the cursor; from another drawing, the samples are opened there.
function periods() {
  const width = Number(root.dataset.periods);
  if (state.view.x_unit !== "s") { location.search = new URLSearchParams({ of: "samples", stop: width }); return; }
  const middle = state.cursor ?? (state.from + state.to) / 2;
  const begins = Math.max(state.view.first, middle - width / 2);
  if (of === "samples") { show(begins, begins + width); return; }
  location.search = new URLSearchParams({ of: "samples", start: begins, stop: begins + width });
}

const KEYS = {
  ArrowLeft: (event) => (event.shiftKey ? move(-0.2) : step(-1)),
  ArrowRight: (event) => (event.shiftKey ? move(0.2) : step(1)),
  "+": () => zoom(0.5),
  "=": () => zoom(0.5),
  "-": () => zoom(2),
  Home: first,
  End: last,
  0: all,
  p: periods,
};
const ACTS = { left: () => move(-0.3), right: () => move(0.3), in: () => zoom(0.5), out: () => zoom(2), all, periods };

canvas.addEventListener("keydown", (event) => {
  const act = KEYS[event.key];
  if (!act || !state.view || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  act(event);
});
tools.addEventListener("click", (event) => {
  const act = ACTS[event.target.dataset.act];
  if (act && state.view) act();
});

const fingers = new Map();
function spread() {
  const [one, other] = [...fingers.values()];
  return Math.max(Math.abs(one - other), 10);
}
canvas.addEventListener("pointerdown", (event) => {
  canvas.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, event.offsetX);
});
for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => fingers.delete(event.pointerId));
canvas.addEventListener("pointermove", (event) => {
  if (!state.view) return;
  const before = fingers.get(event.pointerId);
  if (before === undefined) { point(axes().x.value(event.offsetX)); return; }
  const width = fingers.size > 1 ? spread() : 0;
  fingers.set(event.pointerId, event.offsetX);
  const { x } = axes();
  if (fingers.size > 1) zoom(width / spread(), x.value([...fingers.values()].reduce((sum, at) => sum + at) / fingers.size));
  else show(x.value(x.begins + before - event.offsetX), x.value(x.ends + before - event.offsetX));
});
canvas.addEventListener("wheel", (event) => {
  if (!state.view) return;
  event.preventDefault();
  zoom(event.deltaY > 0 ? 1.25 : 0.8, axes().x.value(event.offsetX));
}, { passive: false });

for (const box of [logX, logY]) box.addEventListener("change", () => { if (state.view) { show(state.from, state.to); noteLogY(); } });
if (chooser) chooser.addEventListener("change", () => { state.channel = chooser.value; load(); });
new ResizeObserver(draw).observe(canvas);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);

const asked = new URLSearchParams(location.search);
if (asked.get("stop")) [state.from, state.to] = [Number(asked.get("start") || 0), Number(asked.get("stop"))];
// The table follows the picture; without a picture its range is asked for here.
document.getElementById("capture-range").hidden = true;
document.getElementById("capture-overview").setAttribute("hidden", "");
live.hidden = false;
tools.hidden = false;
load();
