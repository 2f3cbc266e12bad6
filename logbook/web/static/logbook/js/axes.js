// From values to places on a canvas and back, round marks for an axis, and numbers with a prefix.

export class Axis {
  constructor(low, high, begins, ends, isLog) {
    this.isLog = isLog && low > 0;
    this.low = low;
    this.high = high;
    this.begins = begins;
    this.ends = ends;
    this.first = this.isLog ? Math.log10(low) : low;
    this.span = (this.isLog ? Math.log10(high) : high) - this.first || 1;
  }

  place(value) {
    const at = this.isLog ? Math.log10(Math.max(value, this.low / 1e6)) : value;
    return this.begins + ((at - this.first) / this.span) * (this.ends - this.begins);
  }

  value(place) {
    const at = this.first + ((place - this.begins) / (this.ends - this.begins)) * this.span;
    return this.isLog ? 10 ** at : at;
  }

  marks(most) {
    if (this.isLog && this.span > 1) return decades(this.low, this.high);
    const size = (this.high - this.low) / most;
    const power = 10 ** Math.floor(Math.log10(size));
    const step = [1, 2, 5, 10].find((times) => times * power >= size * 0.999) * power;
    const marks = [];
    for (let number = Math.ceil(this.low / step); number * step <= this.high; number += 1) marks.push(number * step);
    return marks;
  }

  // Enough to tell a hundredth of the range apart, however far from zero it lies.
  get digits() {
    const largest = Math.max(Math.abs(this.low), Math.abs(this.high));
    return Math.min(15, Math.max(4, Math.ceil(Math.log10(largest / (this.high - this.low))) + 2));
  }
}

function decades(low, high) {
  const marks = [];
  for (let power = Math.ceil(Math.log10(low)); 10 ** power <= high; power += 1) marks.push(10 ** power);
  return marks;
}

const PREFIXES = { "-12": "p", "-9": "n", "-6": "µ", "-3": "m", 0: "", 3: "k", 6: "M", 9: "G" };
const PLAIN = new Set(["", "°", "FS", "%"]);

// The power of ten of the prefix a number takes; units without prefixes, such as decibels, take none.
export function prefixPower(value, unit) {
  if (value === 0 || PLAIN.has(unit) || unit.startsWith("dB")) return 0;
  return Math.min(9, Math.max(-12, Math.floor(Math.log10(Math.abs(value)) / 3) * 3));
}

export function prefixed(power, unit) {
  return `${PREFIXES[power]}${unit}`;
}

export function written(value, unit, digits = 4) {
  const power = prefixPower(value, unit);
  return `${Number((value / 10 ** power).toPrecision(digits))} ${prefixed(power, unit)}`.trim();
}
