// A plot on the page: redrawn live, read off by pointer or keyboard, with a log axis, a data table and an export.

import { axisTitle, layout } from "./layout.js";
import { draw, element } from "./scene.js";

const kept = new Map(); // What a reader chose for a plot, kept while sheets change.
const TALL = { envelope_margins: 380, envelope_output: 280 };
const ROWS = 40;

const three = (value) => (Number.isFinite(value) ? String(Number(value.toPrecision(3))) : "not known");

function make(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

export class PlotView {
  constructor(figure) {
    this.figure = figure;
    this.id = figure.dataset.plot;
    this.choice = kept.get(this.id) ?? { log: null, whole: false };
    kept.set(this.id, this.choice);
    this.build();
    new ResizeObserver(() => this.render()).observe(this.frame);
  }

  build() {
    const name = this.figure.querySelector("h3")?.textContent;
    this.title = make("h3");
    this.note = make("span", { class: "plot-note" });
    this.frame = make("div", { class: "frame" });
    this.slider = make("input", { type: "range", class: "cursor", min: "0", max: "0", step: "1", value: "0" });
    this.readout = make("output", { class: "readout" });
    this.log = make("button", { type: "button", "aria-pressed": "false" }, "log axis");
    this.whole = make("button", { type: "button", "aria-pressed": "false" }, "whole axis");
    this.export = make("button", { type: "button" }, "CSV");
    this.table = make("details", { class: "data" }, make("summary", {}, "table"));
    this.figure.replaceChildren(
      make("figcaption", {}, this.title, this.note), this.frame,
      make("div", { class: "read" }, this.slider, this.readout),
      make("div", { class: "tools" }, this.log, this.whole, this.export, this.table),
    );
    this.title.textContent = name || this.id;
    this.listen();
  }

  listen() {
    this.log.addEventListener("click", () => { this.choice.log = !this.plot.y.log; this.render(); });
    this.whole.addEventListener("click", () => { this.choice.whole = !this.choice.whole; this.render(); });
    this.export.addEventListener("click", () => this.save());
    this.table.addEventListener("toggle", () => this.fillTable());
    this.slider.addEventListener("input", () => this.read(this.samples[Number(this.slider.value)], true));
    this.slider.addEventListener("focus", () => this.read(this.samples?.[Number(this.slider.value)], true));
    this.frame.addEventListener("pointermove", (event) => this.point(event));
    this.frame.addEventListener("pointerleave", () => this.read(undefined, true));
  }

  // New data. `arrays` is the block of float32 in which the plot's places lie.
  update(plot, arrays) {
    const take = (place) => place && arrays.subarray(place[0], place[0] + place[1]);
    const curves = plot.curves.map((c) => ({ ...c, x: take(c.x), y: take(c.y), low: take(c.low), high: take(c.high) }));
    this.data = { ...plot, curves };
    this.fresh();
    this.render();
    if (this.table.open) this.fillTable();
  }

  stale(words) {
    if (this.data) this.figure.dataset.stale = "";
    this.note.textContent = this.data ? words : "not computed";
  }

  fresh() {
    delete this.figure.dataset.stale;
    this.note.textContent = this.data.note;
  }

  render() {
    const width = Math.floor(this.frame.clientWidth);
    if (!this.data || width < 120) return;
    const { x, y } = this.data;
    this.plot = {
      ...this.data,
      x: this.choice.whole ? { ...x, high: null } : x,
      y: this.choice.log === null ? y : { ...y, log: this.choice.log },
    };
    this.scene = layout(this.plot, width, TALL[this.id] ?? 230);
    this.svg = draw(this.scene);
    this.cursor = element("g", { class: "cursor-mark" });
    this.svg.append(this.cursor);
    this.frame.replaceChildren(this.svg);
    this.figure.dataset.drawn = "";
    this.label();
    this.read(this.at, false);
  }

  label() {
    this.title.textContent = this.plot.title;
    this.log.setAttribute("aria-pressed", String(this.plot.y.log));
    this.whole.setAttribute("aria-pressed", String(this.choice.whole));
    this.whole.hidden = this.data.x.high === null;
    for (const [button, words] of [[this.log, "Log axis"], [this.whole, "Whole axis"], [this.export, "Export as CSV"]]) {
      button.setAttribute("aria-label", `${words}: ${this.plot.title}`);
    }
    this.table.firstChild.setAttribute("aria-label", `Data table: ${this.plot.title}`);
    this.samples = this.scene.curves.find((c) => c.role !== "ghost")?.x ?? new Float32Array();
    this.slider.max = String(Math.max(0, this.samples.length - 1));
    this.slider.setAttribute("aria-label", `Read off ${this.plot.title}`);
  }

  point(event) {
    if (!this.scene) return;
    const place = event.clientX - this.frame.getBoundingClientRect().left;
    const { xs } = this.scene;
    if (place >= xs.start - 4 && place <= xs.end + 4) this.read(xs.value(Math.min(Math.max(place, xs.start), xs.end)), true);
  }

  // Show the values at x; undefined takes the cursor away. `tell` moves the cursors of plots on the same axis too.
  read(x, tell) {
    this.at = x;
    if (!this.scene) return;
    this.cursor.replaceChildren();
    if (x === undefined) this.readout.textContent = "";
    else this.mark(x);
    if (tell) {
      const detail = { axis: axisTitle(this.plot.x), x, from: this };
      this.figure.dispatchEvent(new CustomEvent("cursor", { bubbles: true, detail }));
    }
  }

  mark(x) {
    const { xs, ys, curves } = this.scene;
    const place = xs.at(x);
    const parts = [];
    this.cursor.append(element("line", { class: "cursor-line", x1: place, x2: place, y1: ys.end, y2: ys.start }));
    for (const curve of curves) {
      const value = interpolate(curve, x);
      if (!Number.isFinite(value)) continue;
      parts.push(`${curve.words} ${three(value)}`);
      const y = ys.at(value);
      if (Number.isFinite(y)) this.cursor.append(element("circle", { class: "cursor-dot", cx: place, cy: y, r: 3 }));
    }
    const unit = this.plot.y.unit ? ` ${this.plot.y.unit}` : "";
    const words = `at ${three(x)} ${this.plot.x.unit}: ${parts.join(", ")}${unit}`;
    this.readout.textContent = words;
    this.slider.setAttribute("aria-valuetext", words);
    this.slider.value = String(nearest(this.samples, x));
  }

  rows() {
    return this.data.curves.flatMap((curve) => Array.from(curve.x, (x, i) => [
      curve.role === "ghost" ? `${curve.words} (saved build)` : curve.words,
      x, curve.y[i], curve.low?.[i] ?? null, curve.high?.[i] ?? null,
    ]));
  }

  heads() { return ["curve", axisTitle(this.data.x), axisTitle(this.data.y), "low (5 %)", "high (95 %)"]; }

  save() {
    if (!this.data) return;
    const field = (cell) => (/[",\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
    const cell = (value) => (typeof value === "string" ? field(value) : Number.isFinite(value) ? String(value) : "");
    const lines = [this.heads(), ...this.rows()].map((row) => row.map(cell).join(","));
    const link = make("a", { download: `${this.id}.csv` });
    link.href = URL.createObjectURL(new Blob([`${lines.join("\n")}\n`], { type: "text/csv" }));
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  }

  fillTable() {
    if (!this.table.open || !this.data) return;
    const groups = Map.groupBy?.(this.rows(), (row) => row[0]) ?? group(this.rows());
    const body = make("tbody");
    for (const rows of groups.values()) {
      const stride = Math.max(1, Math.ceil(rows.length / ROWS));
      rows.filter((_, i) => i % stride === 0).forEach(([name, ...values]) => body.append(make(
        "tr", {}, make("th", { scope: "row" }, name), ...values.map((v) => make("td", {}, v === null ? "" : three(v))),
      )));
    }
    const head = make("tr", {}, ...this.heads().map((words) => make("th", { scope: "col" }, words)));
    const table = make("table", {}, make("caption", {}, this.data.title), make("thead", {}, head), body);
    const region = make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": `Data of ${this.data.title}` }, table);
    this.table.replaceChildren(this.table.firstChild, region);
  }
}

function group(rows) {
  const out = new Map();
  for (const row of rows) out.set(row[0], [...(out.get(row[0]) ?? []), row]);
  return out;
}

function nearest(samples, x) {
  let best = 0;
  for (let i = 1; i < samples.length; i += 1) if (Math.abs(samples[i] - x) < Math.abs(samples[best] - x)) best = i;
  return best;
}

function interpolate(curve, x) {
  const n = curve.x.length;
  if (!n || x < curve.x[0] || x > curve.x[n - 1]) return NaN;
  let i = 1;
  while (i < n - 1 && curve.x[i] < x) i += 1;
  if (n === 1) return curve.y[0];
  const width = curve.x[i] - curve.x[i - 1];
  const part = width > 0 ? (x - curve.x[i - 1]) / width : 1;
  return curve.y[i - 1] + part * (curve.y[i] - curve.y[i - 1]);
}
