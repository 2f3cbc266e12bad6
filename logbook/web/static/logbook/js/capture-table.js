// The table beside a capture: the range and the trace that are drawn, one unit a column.

import { prefixed, prefixPower } from "./axes.js";

const ROWS = 24;
const table = document.querySelector("#capture-table table");

function column(name, unit, values) {
  const sizes = values.map(Math.abs);
  const largest = Math.max(...sizes);
  const power = prefixPower(largest, unit);
  const spread = Math.max(...values) - Math.min(...values);
  const digits = spread > 0 && largest > 0 ? Math.min(15, Math.max(5, Math.ceil(Math.log10(largest / spread)) + 3)) : 6;
  const shown = values.map((value) => String(Number((value / 10 ** power).toPrecision(digits))));
  const said = prefixed(power, unit);
  return { heading: said ? `${name}, ${said}` : name, shown };
}

function cell(kind, text, scope) {
  const made = document.createElement(kind);
  made.textContent = text;
  made.className = scope === "col" ? "right" : "num right";
  if (scope) made.scope = scope;
  return made;
}

function line(cells) {
  const row = document.createElement("tr");
  row.append(...cells);
  return row;
}

export function fillTable(view, topsOnly) {
  const each = Math.max(1, Math.ceil(view.low.length / ROWS));
  const places = [];
  for (let place = 0; place < view.low.length; place += each) places.push(place);
  const columns = [column(`${view.x_name} from`, view.x_unit, places.map((place) => view.x[place]))];
  if (!topsOnly) columns.push(column(`${view.name} lowest`, view.unit, places.map((place) => Math.min(...view.low.slice(place, place + each)))));
  columns.push(column(`${view.name} highest`, view.unit, places.map((place) => Math.max(...view.high.slice(place, place + each)))));
  table.tHead.replaceChildren(line(columns.map(({ heading }) => cell("th", heading, "col"))));
  table.tBodies[0].replaceChildren(...places.map((_, row) => line(columns.map(({ shown }, place) => cell(place ? "td" : "th", shown[row], place ? "" : "row")))));
}
