// Long work on demand on a sheet. A reload finds it again; a changed draft makes it old.

import { LongWork } from "./ask.js";
import { sentences } from "./sheet.js";

const FORM = "form.";

export class DemandWork {
  // `voltage`: charge voltage of the slider now, in V.
  constructor(id, draft, sheet, voltage) {
    Object.assign(this, { id, draft, sheet, voltage, shown: "", work: null, kind: "", running: false });
    document.addEventListener("click", (event) => {
      const start = event.target.closest(`[data-${id}-start]`);
      if (start) this.begin(start.getAttribute(`data-${id}-start`), true);
      if (event.target.closest(`#${id}-stop`)) this.work?.stop();
      const lay = event.target.closest(`#${id} [data-lay]`);
      if (lay) for (const [path, text, saved] of JSON.parse(lay.dataset.lay)) this.draft.set(path, text, saved);
    });
    document.addEventListener("change", (event) => {
      if (event.target.id !== `${id}-quantity`) return;
      for (const figure of this.place.querySelectorAll("figure.map")) figure.hidden = figure.dataset.map !== event.target.value;
    });
  }

  get place() { return document.getElementById(this.id); }

  part(name) { return document.getElementById(`${this.id}-${name}`); }

  // What the form before it says; kept for this tab, so that a reload asks for the same.
  form() {
    const fields = [...(this.place?.querySelectorAll("[data-form]") ?? [])];
    return Object.fromEntries(fields.map((field) => [FORM + field.dataset.form, field.value.trim()]).filter(([, text]) => text));
  }

  restore() {
    const kept = sessionStorage.getItem(`form-${this.id}`);
    if (!kept || !this.place || "back" in this.place.dataset) return;
    this.place.dataset.back = "";
    for (const [key, text] of Object.entries(JSON.parse(kept))) {
      const field = this.place.querySelector(`[data-form="${CSS.escape(key.slice(FORM.length))}"]`);
      if (field) field.value = text;
    }
  }

  asked() { return { ...this.draft.plain(), ...this.form() }; }

  // The draft rests, or the sheet was opened: show what was worked out for it, or follow what is under way.
  async rested() {
    if (!this.place) { this.shown = ""; return; }
    this.restore();
    if (this.running) return;
    const kinds = [...this.place.querySelectorAll(`[data-${this.id}-start]`)].map((one) => one.getAttribute(`data-${this.id}-start`));
    for (const kind of new Set([this.kind, ...kinds].filter(Boolean))) if (await this.begin(kind, false)) return;
    if (this.shown && this.place) this.told("of a draft before; ask for it again");
  }

  // True where there is a result, or will be.
  async begin(kind, start) {
    const asked = this.asked();
    const work = new LongWork(kind, (job) => this.follow(job));
    if (start) {
      sessionStorage.setItem(`form-${this.id}`, JSON.stringify(this.form()));
      if (this.work && this.running) this.work.stop();
      this.work = work;
      this.kind = kind;
      this.running = true;
    }
    const job = await work.start(asked, start, (found) => {
      if (found.state === "none") return;
      this.work = work;
      this.kind = kind;
      this.running = found.state === "running" || found.state === "waiting";
    });
    if (this.work !== work) return false;
    this.running = false;
    if (job?.state === "done") await this.show(work, JSON.stringify(asked));
    return Boolean(job && job.state !== "none");
  }

  async show(work, asked) {
    const { head, arrays } = await work.result(this.draft.view, this.voltage());
    if (!this.place || head.work !== this.id) return;
    const chosen = this.part("quantity")?.value;
    this.part("shown").innerHTML = head.words;
    this.shown = asked;
    this.told("");
    this.sheet.fill(this.place, head.plots, arrays);
    const select = this.part("quantity");
    if (chosen && [...select.options].some((option) => option.value === chosen)) {
      select.value = chosen;
      select.dispatchEvent(new Event("change", { bubbles: true }));
    }
    this.sheet.reach();
  }

  follow(job) {
    const runs = job.state === "running" || job.state === "waiting";
    const unit = this.place?.dataset.unit ?? "";
    const far = job.state === "running" && job.total ? `${job.done} of ${job.total} ${unit}` : { waiting: "waiting", stopped: "stopped" }[job.state] ?? "";
    const refused = (job.findings ?? []).map((finding) => `${finding.path ? `${finding.path}: ` : ""}${sentences(finding)}`).join(" ");
    this.told(job.state === "failed" ? refused : far);
    const bar = this.part("far"), stop = this.part("stop");
    if (!bar) return;
    bar.hidden = stop.hidden = !runs;
    bar.max = job.total || 1;
    bar.value = job.done || 0;
  }

  told(words) {
    const place = this.part("told");
    if (place && place.textContent !== words) place.textContent = words;
  }
}
