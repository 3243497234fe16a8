// The sheet below the line: entries edited in place, curves, and what the server sends as pieces of HTML.

import { FieldView } from "./field.js";
import { PlotView } from "./plot.js";

const main = () => document.getElementById("sheet");

export class Sheet {
  constructor(draft) {
    this.draft = draft;
    this.plots = new Map();
    this.fields = new Map();
    draft.addEventListener("change", (event) => this.follow(event.detail.paths));
    draft.addEventListener("pins", () => this.pins());
    this.bind();
  }

  // After the sheet was put in place: entries and figures come alive.
  bind() {
    this.plots.clear();
    this.fields.clear();
    for (const figure of main().querySelectorAll("figure.fine")) this.fields.set(figure.dataset.field, new FieldView(figure));
    for (const figure of main().querySelectorAll("figure.plot[data-plot]")) this.plots.set(figure.dataset.plot, new PlotView(figure));
    for (const entry of main().querySelectorAll("li.entry")) this.bindEntry(entry);
    this.follow([...this.draft.entries.keys()]);
    this.pins();
    this.bindShelf();
    this.reach();
  }

  // What scrolls sideways must be reachable by keyboard.
  reach() {
    for (const figure of main().querySelectorAll("figure.drawing, .drawn")) {
      if (figure.scrollWidth > figure.clientWidth + 1) figure.tabIndex = 0;
      else figure.removeAttribute("tabindex");
    }
  }

  bindEntry(entry) {
    const { path, saved } = entry.dataset;
    const field = entry.querySelector("input, select");
    const take = () => {
      const text = field.value.trim();
      if (text === "" && saved !== "" && entry.dataset.kind !== "text") { field.value = this.draft.text(path) || saved; return; }
      this.draft.set(path, text, saved);
    };
    field.addEventListener("change", take);
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") take();
      if (event.key === "Escape") field.value = this.draft.entries.get(path) ?? saved;
    });
    entry.querySelector(".put-back").addEventListener("click", () => this.draft.set(path, saved, saved));
    entry.querySelector(".pin-it")?.addEventListener("click", () => {
      this.draft.saved.set(path, saved);
      const about = /to (?:below )?([\d.]+)\.?\s*$/.exec(entry.querySelector(".about").textContent.trim());
      this.draft.pin(path, about ? Number(about[1]) : null);
    });
  }

  entry(path) { return main().querySelector(`li.entry[data-path="${CSS.escape(path)}"]`); }

  // Show what the draft says in the entries of these paths.
  follow(paths) {
    for (const path of paths) {
      const entry = this.entry(path);
      if (!entry) continue;
      const changed = this.draft.entries.has(path);
      const field = entry.querySelector("input, select");
      field.value = this.draft.entries.get(path) ?? entry.dataset.saved;
      entry.classList.toggle("changed", changed);
      entry.querySelector(".was").hidden = !changed;
    }
  }

  pins() {
    const pinned = new Set(this.draft.pins.map((pin) => pin.path));
    for (const button of main().querySelectorAll(".pin-it")) {
      button.setAttribute("aria-pressed", String(pinned.has(button.closest("li.entry").dataset.path)));
    }
  }

  bindShelf() {
    const search = document.getElementById("shelf-search");
    if (!search) return;
    const rows = [...main().querySelectorAll("[data-search]")];
    search.addEventListener("input", () => {
      const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
      for (const row of rows) row.hidden = !words.every((word) => row.dataset.search.includes(word));
      document.getElementById("shelf-count").textContent = words.length ? `${rows.filter((row) => !row.hidden).length} found` : "";
    });
  }

  // A reply of the server: pieces of HTML, drawings and curves.
  show(head, arrays) {
    for (const [id, html] of [["numbers", head.numbers], ["heed-rows", head.heed], ["budget", head.budget], ["stress", head.stress], ["stops", head.stops]]) {
      const place = document.getElementById(id);
      if (place && html !== undefined) place.innerHTML = html;
    }
    if (head.decides) this.decides(head.decides);
    for (const [name, svg] of Object.entries(head.drawings ?? {})) {
      const place = main().querySelector(`figure.drawing[data-drawing="${name}"]`);
      if (place) place.innerHTML = svg;
    }
    for (const [name, { drawing, table }] of Object.entries(head.pictures ?? {})) this.picture(name, drawing, table);
    for (const field of head.fields ?? []) this.fields.get(field.id)?.update(field, arrays);
    if (head.fields) this.withoutFields(new Set(head.fields.map((field) => field.id)));
    for (const plot of head.plots) this.plots.get(plot.id)?.update(plot, arrays);
    if (head.lacking) this.without(new Set(head.lacking));
    this.faults([]);
    this.oldWords(false);
    this.reach();
    document.getElementById("stale-words")?.replaceChildren();
  }

  // What the spread of the output hangs on; between intervals it is of the draft before.
  decides({ see, heed }) {
    for (const [id, html] of [["decides", see], ["heed-decides", heed]]) {
      const place = document.getElementById(id);
      if (place) { place.innerHTML = html; delete place.dataset.old; }
    }
  }

  oldDecides() {
    for (const id of ["decides", "heed-decides"]) {
      const place = document.getElementById(id);
      if (place?.childElementCount) place.dataset.old = "";
    }
  }

  // A drawing that moves with the shot; an open table stays open.
  picture(name, drawing, table) {
    const figure = main().querySelector(`figure[data-picture="${name}"]`);
    if (!figure) return;
    figure.hidden = !drawing;
    figure.dataset.drawn = "";
    delete figure.dataset.stale;
    figure.querySelector(".drawn").innerHTML = drawing;
    figure.querySelector(".scroll").innerHTML = table;
  }

  withoutFields(sent) {
    for (const [id, view] of this.fields) view.figure.hidden = !sent.has(id);
  }

  // Plots inside one section: those sent are shown, the others are not.
  fill(section, plots, arrays) {
    const sent = new Map(plots.map((plot) => [plot.id, plot]));
    for (const [id, view] of this.plots) {
      if (!section.contains(view.figure)) continue;
      view.figure.hidden = !sent.has(id);
      if (sent.has(id)) view.update(sent.get(id), arrays);
    }
  }

  // Curves of parts that this build does not have are not shown.
  without(ids) {
    for (const [id, view] of this.plots) if (ids.has(id) || view.lacked) { view.lacked = ids.has(id); view.figure.hidden = view.lacked; }
  }

  // The draft cannot be computed: say where, and mark what is shown as old.
  refuse(findings) {
    this.faults(findings);
    const words = "Stale: of the last draft that could be computed";
    for (const plot of [...this.plots.values(), ...this.fields.values()]) plot.stale(words);
    for (const figure of main().querySelectorAll("figure[data-picture]")) figure.dataset.stale = "";
    this.oldWords(true);
    const waiting = document.querySelector("#numbers > p.soft, #stops > p.soft");
    if (waiting) waiting.textContent = "not computed";
    const place = document.getElementById("stale-words");
    if (!place) return;
    place.replaceChildren(...findings.map((finding) => {
      const row = document.createElement("p");
      row.textContent = `Not computed. ${finding.path ? `${finding.path}: ` : ""}${sentences(finding)}`;
      return row;
    }));
    if (document.querySelector("#sheet [data-stale]")) {
      place.append(Object.assign(document.createElement("p"), { textContent: "Numbers and curves below are of the last draft that could be computed." }));
    }
  }

  // Numbers and bars of a draft before look like old ones.
  oldWords(old) {
    for (const id of ["numbers", "budget", "stress"]) {
      const place = document.getElementById(id);
      if (old && place?.querySelector("table, figure")) place.dataset.stale = "";
      else delete place?.dataset.stale;
    }
  }

  faults(findings) {
    for (const entry of main().querySelectorAll("li.entry.faulty")) this.fault(entry, "");
    for (const finding of findings) {
      const entry = this.entry(finding.path);
      if (entry) this.fault(entry, sentences(finding));
    }
  }

  fault(entry, words) {
    entry.classList.toggle("faulty", Boolean(words));
    const field = entry.querySelector("input, select");
    if (words) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
    const place = entry.querySelector(".fault");
    place.textContent = words;
    place.hidden = !words;
  }
}

export function sentences(finding) {
  return [finding.message, finding.allowed, finding.next_step].filter(Boolean).map((part) => `${part.replace(/\.+$/, "")}.`).join(" ");
}
