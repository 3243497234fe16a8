// A fine map on a sheet: its drawing comes from the server; values are read off by pointer or by two sliders.

import { element } from "./scene.js";

const three = (value) => (Number.isFinite(value) ? String(Number(value.toPrecision(3))) : "not known");
const MOST = 10;

function make(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

const middle = (edges, i) => (edges[i] + edges[i + 1]) / 2;

function cell(edges, value) {
  const last = edges.length - 2;
  for (let i = 0; i <= last; i += 1) if (value < edges[i + 1]) return Math.max(0, i);
  return last;
}

// Evenly picked places, both ends among them.
function picked(count) {
  const many = Math.min(count, MOST);
  if (many < 2) return [0];
  return [...new Set(Array.from({ length: many }, (_, i) => Math.round((i * (count - 1)) / (many - 1))))];
}

export class FieldView {
  constructor(figure) {
    this.figure = figure;
    this.id = figure.dataset.field;
    this.drawn = figure.querySelector(".drawn");
    [this.across, this.up] = figure.querySelectorAll("input.cursor");
    this.readout = figure.querySelector(".readout");
    this.note = figure.querySelector(".plot-note");
    this.table = figure.querySelector("details.data");
    for (const slider of [this.across, this.up]) {
      slider.addEventListener("input", () => this.read(Number(this.across.value), Number(this.up.value)));
      slider.addEventListener("focus", () => this.read(Number(this.across.value), Number(this.up.value)));
    }
    this.drawn.addEventListener("pointermove", (event) => this.point(event));
    this.drawn.addEventListener("pointerleave", () => this.away());
    this.table.addEventListener("toggle", () => this.fill());
  }

  update(field, arrays) {
    const take = ([first, count]) => arrays.subarray(first, first + count);
    this.data = { ...field, x_edges: take(field.x_edges), y_edges: take(field.y_edges), values: take(field.values) };
    this.figure.hidden = false;
    this.figure.dataset.drawn = "";
    delete this.figure.dataset.stale;
    this.note.textContent = field.note;
    this.drawn.innerHTML = field.drawing;
    this.svg = this.drawn.firstElementChild;
    this.mark = element("g", { class: "cursor-mark" });
    this.svg.append(this.mark);
    this.across.max = String(this.data.x_edges.length - 2);
    this.up.max = String(this.data.y_edges.length - 2);
    this.across.setAttribute("aria-label", `Read off ${field.title}: ${field.x.words}`);
    this.up.setAttribute("aria-label", `Read off ${field.title}: ${field.y.words}`);
    this.fill();
    if (this.at) this.read(...this.at);
  }

  // The draft cannot be computed: what is drawn is old.
  stale(words) {
    if (this.data) this.figure.dataset.stale = "";
    this.note.textContent = this.data ? words : "not computed";
  }

  value(i, j) { return this.data.values[j * (this.data.x_edges.length - 1) + i]; }

  point(event) {
    if (!this.data) return;
    const box = this.svg.getBoundingClientRect(), scale = this.data.width / box.width;
    const [left, right, bottom, top] = this.data.frame;
    const px = (event.clientX - box.left) * scale, py = (event.clientY - box.top) * scale;
    if (px < left || px > right || py < top || py > bottom) { this.away(); return; }
    const { x_edges: xs, y_edges: ys } = this.data;
    const x = xs[0] + ((px - left) / (right - left)) * (xs[xs.length - 1] - xs[0]);
    const y = ys[0] + ((py - bottom) / (top - bottom)) * (ys[ys.length - 1] - ys[0]);
    this.read(cell(xs, x), cell(ys, y));
  }

  away() {
    this.at = null;
    this.mark?.replaceChildren();
    this.readout.textContent = "";
  }

  // Show the value of one cell.
  read(i, j) {
    if (!this.data) return;
    const { x_edges: xs, y_edges: ys, frame: [left, right, bottom, top], x, y } = this.data;
    i = Math.min(i, xs.length - 2);
    j = Math.min(j, ys.length - 2);
    this.at = [i, j];
    const px = left + ((middle(xs, i) - xs[0]) / (xs[xs.length - 1] - xs[0])) * (right - left);
    const py = bottom + ((middle(ys, j) - ys[0]) / (ys[ys.length - 1] - ys[0])) * (top - bottom);
    this.mark.replaceChildren(element("circle", { class: "cursor-dot", cx: px, cy: py, r: 4 }));
    const unit = this.data.unit ? ` ${this.data.unit}` : "";
    const words = `${this.data.words} ${three(this.value(i, j))}${unit} at ${three(middle(xs, i))} ${x.unit}, ${three(middle(ys, j))} ${y.unit}`;
    this.readout.textContent = words;
    this.across.value = String(i);
    this.up.value = String(j);
    for (const slider of [this.across, this.up]) slider.setAttribute("aria-valuetext", words);
  }

  fill() {
    if (!this.table.open || !this.data) return;
    const { x_edges: xs, y_edges: ys, x, y, title } = this.data;
    const named = (axis) => (axis.unit ? `${axis.words} (${axis.unit})` : axis.words);
    const columns = picked(xs.length - 1), rows = picked(ys.length - 1).reverse();
    const most = Math.max(...this.data.values.map(Math.abs));
    const words = (value) => (Math.abs(value) < 1e-6 * most ? "0" : three(value));
    const head = make("tr", {}, make("th", { scope: "col" }, `${named(y)} \\ ${named(x)}`),
      ...columns.map((i) => make("th", { scope: "col" }, three(middle(xs, i)))));
    const body = rows.map((j) => make("tr", {}, make("th", { scope: "row" }, three(middle(ys, j))),
      ...columns.map((i) => make("td", {}, words(this.value(i, j))))));
    const unit = this.data.unit ? ` (${this.data.unit})` : "";
    const table = make("table", {}, make("caption", {}, `${title}: ${this.data.words}${unit}`), make("thead", {}, head), make("tbody", {}, ...body));
    const region = make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": `Data of ${title}` }, table);
    this.table.replaceChildren(this.table.firstElementChild, region);
  }
}
