// From a plot record and a size to a scene. Follows drawing/layout.py, ticks.py and labels.py line by line;
// a browser test draws the same plot both ways and compares.

import { polyline } from "./scene.js";

const TOP = 26, BOTTOM = 38, GAP = 15, STYLES = 6;
const SUPERSCRIPT = { "-": "⁻", 0: "⁰", 1: "¹", 2: "²", 3: "³", 4: "⁴", 5: "⁵", 6: "⁶", 7: "⁷", 8: "⁸", 9: "⁹" };

export function niceStep(span, count) {
  if (!(span > 0 && Number.isFinite(span))) return 1;
  const rough = span / Math.max(count, 1);
  const power = 10 ** Math.floor(Math.log10(rough));
  for (const factor of [1, 2, 5, 10]) if (factor * power >= rough * (1 - 1e-9)) return factor * power;
  return 10 * power;
}

function padded(low, high, zero) {
  if (!(Number.isFinite(low) && Number.isFinite(high))) return [0, 1];
  if (high <= low) {
    const pad = Math.abs(low) * 0.1 || 1;
    return [low - pad, high + pad];
  }
  const pad = 0.04 * (high - low);
  return [zero && low === 0 ? low : low - pad, zero && high === 0 ? high : high + pad];
}

export function linearTicks(low, high, count) {
  const step = niceStep(high - low, count);
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const out = [];
  for (let i = Math.ceil(low / step - 1e-9); i <= Math.floor(high / step + 1e-9); i += 1) {
    out.push([i * step, tickLabel(i * step, decimals)]);
  }
  return out;
}

const power = (exponent) => "10" + String(exponent).replace(/[-\d]/g, (digit) => SUPERSCRIPT[digit]);

function tickLabel(value, decimals) {
  if (value !== 0 && (Math.abs(value) >= 1e5 || decimals > 4)) {
    const exponent = Math.floor(Math.log10(Math.abs(value)) + 1e-12);
    const head = (value / 10 ** exponent).toFixed(2).replace(/0+$/, "").replace(/\.$/, "");
    return head === "1" ? power(exponent) : `${head}·${power(exponent)}`;
  }
  return (value === 0 ? 0 : value).toFixed(decimals);
}

function logRange(low, high) {
  if (!(high > 0 && Number.isFinite(high))) return [0.1, 1];
  let bottom = low > 0 ? low : high * 1e-4;
  let top = high;
  bottom = Math.max(bottom, top * 1e-9);
  if (top < 3.2 * bottom) {
    const middle = Math.sqrt(bottom * top);
    [bottom, top] = [middle / 1.8, middle * 1.8];
  }
  return [bottom / 1.15, top * 1.15];
}

function logTicks(low, high, count) {
  const bottom = Math.floor(Math.log10(low)), top = Math.ceil(Math.log10(high));
  const few = Math.log10(high / low) <= (count >= 4 ? 2.5 : 1.5);
  const stride = Math.max(1, Math.ceil((top - bottom - 1) / Math.max(count, 1)));
  const out = [];
  for (let exponent = bottom; exponent <= top; exponent += stride) {
    for (const factor of few ? [1, 2, 5] : [1]) {
      const value = factor * 10 ** exponent;
      if (value >= low * (1 - 1e-9) && value <= high * (1 + 1e-9)) out.push([value, logLabel(factor, exponent)]);
    }
  }
  return out;
}

function logLabel(factor, exponent) {
  if (exponent >= -3 && exponent <= 4) return (factor * 10 ** exponent).toFixed(Math.max(0, -exponent));
  return factor === 1 ? power(exponent) : `${factor}·${power(exponent)}`;
}

export function spread(wanted, gap, low, high) {
  const room = high >= low ? Math.floor((high - low) / gap + 1e-9) + 1 : 0;
  const kept = [...Array(Math.min(wanted.length, room)).keys()].sort((a, b) => wanted[a] - wanted[b] || a - b);
  const places = kept.map((i) => Math.min(Math.max(wanted[i], low), high));
  for (let n = 1; n < places.length; n += 1) places[n] = Math.max(places[n], places[n - 1] + gap);
  let ceiling = high;
  for (let n = places.length - 1; n >= 0; n -= 1) {
    places[n] = Math.min(places[n], ceiling);
    ceiling = places[n] - gap;
  }
  const out = Array(wanted.length).fill(null);
  kept.forEach((i, n) => { out[i] = places[n]; });
  return out;
}

export function textWidth(words, size = 12) {
  let narrow = 0;
  for (const letter of words) if (" .,:;il|'()[]·⁻¹".includes(letter)) narrow += 1;
  return ([...words].length - 0.5 * narrow) * size * 0.58;
}

class Scale {
  constructor(low, high, start, end, log, ticks) { Object.assign(this, { low, high, start, end, log, ticks }); }

  at(value) {
    const part = this.log
      ? (value > 0 ? (Math.log10(value) - Math.log10(this.low)) / (Math.log10(this.high) - Math.log10(this.low)) : NaN)
      : (value - this.low) / (this.high - this.low);
    return this.start + part * (this.end - this.start);
  }

  value(place) {
    const part = (place - this.start) / (this.end - this.start);
    return this.log ? this.low * (this.high / this.low) ** part : this.low + part * (this.high - this.low);
  }

  holds(value) { return this.low <= value && value <= this.high; }
}

export const axisTitle = (axis) => (axis.unit ? `${axis.words} (${axis.unit})` : axis.words);

function within(plot) {
  const low = plot.x.low ?? -Infinity, high = plot.x.high ?? Infinity;
  const cut = (line) => {
    let first = 0, last = line.x.length;
    while (first < last && line.x[first] < low) first += 1;
    while (last > first && line.x[last - 1] > high) last -= 1;
    if (first === 0 && last === line.x.length) return line;
    const part = (values) => values && values.subarray(first, last);
    return { ...line, x: part(line.x), y: part(line.y), low: part(line.low), high: part(line.high) };
  };
  return { ...plot, curves: plot.curves.map(cut) };
}

function extent(axis, arrays, marks) {
  let low = Infinity, high = -Infinity;
  const take = (value) => {
    if (!Number.isFinite(value) || (axis.log && value <= 0)) return;
    if (value < low) low = value;
    if (value > high) high = value;
  };
  for (const values of arrays) for (let i = 0; i < values.length; i += 1) take(values[i]);
  marks.forEach(take);
  if (low > high) return axis.log ? [0.1, 1] : [0, 1];
  if (axis.from_zero && !axis.log) { low = Math.min(low, 0); high = Math.max(high, 0); }
  return [axis.low ?? low, axis.high ?? high];
}

function scaleOf(axis, [low, high], start, end, tight) {
  const count = Math.max(2, Math.trunc(Math.abs(end - start) / (tight ? 70 : 42)));
  if (axis.log) {
    [low, high] = logRange(low, high);
    return new Scale(low, high, start, end, true, logTicks(low, high, count));
  }
  if (!tight || high <= low) [low, high] = padded(low, high, axis.from_zero);
  return new Scale(low, high, start, end, false, linearTicks(low, high, count));
}

const labelled = (line) => Boolean(line.words) && line.role !== "dots" && line.y.some(Number.isFinite);

function scales(plot, width, height) {
  const ends = plot.curves.flatMap((c) => [c.y, c.low, c.high].filter(Boolean));
  const on = (axis) => plot.marks.filter((mark) => mark.axis === axis).map((mark) => mark.at);
  const ys = scaleOf(plot.y, extent(plot.y, ends, on("y")), height - BOTTOM, TOP, false);
  const left = Math.ceil(Math.max(0, ...ys.ticks.map(([, text]) => textWidth(text))) + 12);
  const names = plot.curves.filter(labelled).map((c) => textWidth(c.words));
  const room = Math.ceil(Math.max(0, ...names) + 22);
  const xs = scaleOf(plot.x, extent(plot.x, plot.curves.map((c) => c.x), on("x")), left, width - Math.min(room, 0.32 * width), true);
  return [xs, ys];
}

const line = (x1, y1, x2, y2, role) => ({ shape: "line", x1, y1, x2, y2, role });
const text = (x, y, words, role, anchor = "start") => ({ shape: "text", x, y, words, role, anchor });

function frame(plot, xs, ys) {
  const out = [];
  for (const [value, words] of ys.ticks) {
    const y = ys.at(value);
    out.push(line(xs.start, y, xs.end, y, "grid"), text(xs.start - 7, y + 4, words, "tick", "end"));
  }
  for (const [value, words] of xs.ticks) {
    const x = xs.at(value);
    out.push(line(x, ys.start, x, ys.start + 4, "axis"), text(x, ys.start + 17, words, "tick", "middle"));
  }
  out.push(line(xs.start, ys.start, xs.end, ys.start, "axis"));
  out.push(text(Math.max(0, xs.start - 40), 12, axisTitle(plot.y), "axis-title"));
  out.push(text(xs.end, ys.start + 33, axisTitle(plot.x), "axis-title", "end"));
  return out;
}

// Words stand to the right of their line, to the left where the right has no room or another line in it.
function beside(place, length, xs, others) {
  const right = place + 4, left = place - 4 - length;
  const fits = right + length <= xs.end + 20;
  const crossed = others.some((other) => right <= other && other <= right + length);
  const free = left >= xs.start && !others.some((other) => left <= other && other <= left + length);
  return !fits || (crossed && free) ? left : right;
}

function marks(plot, xs, ys) {
  const out = [];
  for (const mark of plot.marks) {
    if (mark.axis !== "y" || !ys.holds(mark.at)) continue;
    const place = ys.at(mark.at);
    out.push(line(xs.start, place, xs.end, place, mark.role), text(xs.start + 4, place - 4, mark.words, "mark"));
  }
  const ends = [];
  const upright = plot.marks.filter((mark) => mark.axis === "x" && xs.holds(mark.at));
  const places = upright.map((mark) => xs.at(mark.at));
  for (const mark of upright) {
    const place = xs.at(mark.at), length = textWidth(mark.words, 11);
    const start = beside(place, length, xs, places.filter((other) => other !== place));
    const free = ends.findIndex((end) => end + 6 <= start);
    const row = free < 0 ? ends.length : free;
    ends[row] = start + length;
    out.push(line(place, ys.end, place, ys.start, mark.role), text(start, ys.end + 8 + 13 * row, mark.words, "mark"));
  }
  return out;
}

function bandPath(curve, xs, ys) {
  const upper = [], lower = [];
  for (let i = 0; i < curve.x.length; i += 1) {
    const x = xs.at(curve.x[i]), high = ys.at(curve.high[i]), low = ys.at(curve.low[i]);
    if (!Number.isFinite(x) || !Number.isFinite(high)) continue;
    upper.push([x, high]);
    lower.push([x, Number.isFinite(low) ? low : ys.start]);
  }
  return polyline([...upper, ...lower.reverse()], true);
}

function drawCurve(curve, xs, ys) {
  if (curve.role === "dots") return dots(curve, xs, ys);
  const out = [];
  if (curve.low && curve.high) out.push({ shape: "band", d: bandPath(curve, xs, ys), role: "band" });
  const points = Array.from(curve.x, (x, i) => [xs.at(x), ys.at(curve.y[i])]);
  out.push({ shape: "path", d: polyline(points), role: curve.role === "ghost" ? "ghost" : `curve s${curve.style % STYLES}` });
  return out;
}

function dots(curve, xs, ys) {
  const out = [];
  for (let i = 0; i < curve.x.length; i += 1) {
    const x = xs.at(curve.x[i]), y = ys.at(curve.y[i]);
    if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
    if (curve.low && curve.high) out.push(line(x, ys.at(curve.low[i]), x, ys.at(curve.high[i]), "whisker"));
    out.push({ shape: "circle", x, y, radius: 4, role: "dot" });
  }
  return out;
}

function lineEnd(curve, xs, ys) {
  let last = 0;
  for (let i = 0; i < curve.x.length; i += 1) {
    if (Number.isFinite(xs.at(curve.x[i])) && Number.isFinite(ys.at(curve.y[i]))) last = i;
  }
  const x = xs.at(curve.x[last]), y = ys.at(curve.y[last]);
  return [Number.isFinite(x) ? x : xs.end, Math.min(Math.max(Number.isFinite(y) ? y : ys.start, ys.end), ys.start)];
}

function endLabels(plot, xs, ys) {
  const lines = plot.curves.filter(labelled).sort((a, b) => (a.role === "ghost") - (b.role === "ghost"));
  const ends = lines.map((curve) => lineEnd(curve, xs, ys));
  const places = spread(ends.map(([, y]) => y), GAP, ys.end + 4, ys.start);
  const out = [];
  lines.forEach((curve, i) => {
    const place = places[i], [x, y] = ends[i];
    if (place === null) return;
    if (Math.abs(place - y) > 3 || xs.end - x > 3) out.push(line(x + 2, y, xs.end + 7, place, "leader"));
    out.push(text(xs.end + 9, place + 4, curve.words, curve.role === "ghost" ? "label ghost-label" : "label"));
  });
  return out;
}

// The scene of a plot at a size, with the scales that a cursor needs.
export function layout(whole, width = 560, height = 260) {
  const plot = within(whole);
  const [xs, ys] = scales(plot, width, height);
  const behind = [...plot.curves].sort((a, b) => (a.role !== "ghost") - (b.role !== "ghost"));
  const items = [
    ...frame(plot, xs, ys), ...marks(plot, xs, ys),
    ...behind.flatMap((curve) => drawCurve(curve, xs, ys)), ...endLabels(plot, xs, ys),
  ];
  return { id: plot.id, width, height, title: plot.title, description: plot.description, items, xs, ys, curves: plot.curves };
}
