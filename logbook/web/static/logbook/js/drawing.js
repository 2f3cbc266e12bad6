// Draws a range of a capture on a canvas: grid, trace from lowest to highest, limits of a mask, cursor.

import { written } from "./axes.js";

function grid(pen, { x, y, margin, colours }, view, width, height) {
  pen.strokeStyle = colours.rule;
  pen.fillStyle = colours.quiet;
  pen.lineWidth = 1;
  pen.beginPath();
  pen.textAlign = "right";
  pen.textBaseline = "middle";
  for (const level of y.marks(5)) {
    const at = Math.round(y.place(level)) + 0.5;
    pen.moveTo(margin.left, at);
    pen.lineTo(width - margin.right, at);
    pen.fillText(written(level, view.unit, y.digits), margin.left - 6, at);
  }
  pen.textAlign = "center";
  pen.textBaseline = "top";
  for (const mark of x.marks(Math.max(2, Math.floor(width / 160)))) {
    const at = Math.round(x.place(mark)) + 0.5;
    if (at < margin.left || at > width - margin.right) continue;
    pen.moveTo(at, margin.top);
    pen.lineTo(at, height - margin.bottom);
    pen.fillText(written(mark, view.x_unit, x.digits), Math.min(at, width - margin.right - 24), height - margin.bottom + 6);
  }
  pen.stroke();
}

function trace(pen, { x, y, colours }, view) {
  pen.strokeStyle = colours.trace;
  pen.lineWidth = 1.3;
  pen.lineJoin = "round";
  pen.beginPath();
  let isBroken = true;
  for (let place = 0; place < view.x.length; place += 1) {
    // Nothing at 0 or below has a place on a logarithmic axis; the line is broken there.
    if (y.isLog && view.high[place] <= 0) { isBroken = true; continue; }
    const at = x.place(view.x[place]);
    if (isBroken) pen.moveTo(at, y.place(view.low[place]));
    else pen.lineTo(at, y.place(view.low[place]));
    if (view.high[place] !== view.low[place]) pen.lineTo(at, y.place(view.high[place]));
    isBroken = false;
  }
  pen.stroke();
}

function limits(pen, { x, y, mask, colours }) {
  pen.strokeStyle = colours.mask;
  pen.lineWidth = 1.6;
  pen.setLineDash([6, 3]);
  for (const line of mask) {
    pen.beginPath();
    for (const [at, level] of line) pen.lineTo(x.place(at), y.place(level));
    pen.stroke();
  }
  pen.setLineDash([]);
}

export function drawCapture(canvas, view, drawn) {
  const { clientWidth: width, clientHeight: height } = canvas;
  const scale = window.devicePixelRatio || 1;
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  const pen = canvas.getContext("2d");
  pen.scale(scale, scale);
  pen.font = "11px ui-monospace, 'DejaVu Sans Mono', monospace";
  grid(pen, drawn, view, width, height);
  pen.save();
  pen.beginPath();
  pen.rect(drawn.margin.left, drawn.margin.top, width - drawn.margin.left - drawn.margin.right, height - drawn.margin.top - drawn.margin.bottom);
  pen.clip();
  trace(pen, drawn, view);
  limits(pen, drawn);
  if (drawn.cursor !== null) {
    const at = Math.round(drawn.x.place(drawn.cursor)) + 0.5;
    pen.strokeStyle = drawn.colours.ink;
    pen.lineWidth = 1;
    pen.beginPath();
    pen.moveTo(at, drawn.margin.top);
    pen.lineTo(at, height - drawn.margin.bottom);
    pen.stroke();
  }
  pen.restore();
}
