// Without the network the bench page leads on by what it already shows of the next checks. Each card carries
// its own unit, meters and cautions; nothing typed for one check stays behind for another.

import { newKey } from "./waiting.js";

const SHOWN_OF_LAST = "#stop, #waits, #kept, .despite, .now > .caution, .now-how, .now-facts, .moves, .now .words, #entry .problems";
const meterOfBase = new Map();

const field = (id) => document.getElementById(id);

export function goOnAlone(form, tellProblem) {
  form.elements.key.value = newKey();
  for (const name of ["value", "note", "repeats"]) form.elements[name].value = "";
  form.elements.value.readOnly = false;
  field("now-strip").replaceChildren();
  field("reads-problem").replaceChildren();
  const row = [...document.querySelectorAll("table.next tr[data-target]")].find((one) => !one.dataset.stop);
  if (row) showCheck(form, row, tellProblem);
  else tellProblem("The next check is shown when the network is back.");
  form.elements.value.focus();
}

function showCheck(form, row, tellProblem) {
  const { target, point, where, name, asks, unit, kind, waits, decimal } = row.dataset;
  const { value } = form.elements;
  form.elements.target.value = target;
  form.elements.point.value = point;
  value.dataset.kind = kind;
  if (decimal) value.inputMode = decimal;
  else value.removeAttribute("inputmode");
  field("now-title").textContent = `${target} ${point} · ${name}`;
  field("now-where").textContent = where;
  field("now-asks").textContent = asks;
  field("now-unit").textContent = unit;
  for (const old of document.querySelectorAll(SHOWN_OF_LAST)) old.remove();
  field("mind").replaceChildren(...(row.querySelector("template")?.content.children ?? []));
  showSettings(form, unit, kind === "number");
  if (waits) tellProblem(`This check comes ${waits}; how that stands is not known without the network.`);
  row.remove();
}

function showSettings(form, unit, isNumber) {
  for (const part of form.querySelectorAll("#settings, .of-number")) {
    part.hidden = !isNumber;
    part.disabled = !isNumber;
  }
  const { expanded_uncertainty: uncertainty, coverage_factor: factor, meter } = form.elements;
  uncertainty.value = "";
  uncertainty.placeholder = unit;
  factor.value = "";
  meterOfBase.set(meter.dataset.base, meter.value);
  const offered = [...document.querySelectorAll("template[data-base]")].find((one) => one.dataset.unit === unit);
  meter.replaceChildren(offered.content.cloneNode(true));
  meter.dataset.base = offered.dataset.base;
  if (meterOfBase.has(meter.dataset.base)) meter.value = meterOfBase.get(meter.dataset.base);
}
