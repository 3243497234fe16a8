// The take-off map: long work on demand. A reload finds it again; a changed draft makes it old.

import { LongWork } from "./ask.js";
import { sentences } from "./sheet.js";

const FAR = { waiting: "waiting", stopped: "stopped", none: "" };

export class MapWork {
  constructor(draft, voltage) {
    this.draft = draft;
    this.voltage = voltage;
    this.shown = "";
    this.work = null;
    document.addEventListener("click", (event) => {
      const start = event.target.closest("[data-map-start]");
      if (start) this.begin(start.dataset.mapStart, true);
      if (event.target.closest("#map-stop")) this.work?.stop();
    });
    document.addEventListener("change", (event) => {
      if (event.target.id !== "map-quantity") return;
      for (const figure of document.querySelectorAll("figure.map")) figure.hidden = figure.dataset.map !== event.target.value;
    });
  }

  get place() { return document.getElementById("map"); }

  // The draft rests, or the sheet was opened: show what was worked out for it, or follow what is under way.
  async rested() {
    if (!this.place) { this.shown = ""; return; }
    if (this.running) return;
    const kinds = [this.kind, "take-off", "take-off by bore"].filter(Boolean);
    for (const kind of new Set(kinds)) if (await this.begin(kind, false)) return;
    if (this.shown && this.place) this.told("of a draft before; ask for it again");
  }

  // True where there is a map, or will be.
  async begin(kind, start) {
    const asked = this.draft.key();
    const work = new LongWork(kind, (job) => this.follow(job));
    if (start && this.work && this.running) this.work.stop();
    if (start) { this.work = work; this.kind = kind; this.running = true; }
    const job = await work.start(this.draft.plain(), start, (found) => {
      if (found.state === "none") return;
      this.work = work;
      this.kind = kind;
      this.running = found.state === "running" || found.state === "waiting";
    });
    if (this.work !== work) return false;
    this.running = false;
    if (job?.state === "done") await this.show(work, asked);
    return Boolean(job && job.state !== "none");
  }

  async show(work, asked) {
    const { head } = await work.result(this.draft.view, this.voltage());
    if (!this.place || !head.map) return;
    const chosen = document.getElementById("map-quantity")?.value;
    document.getElementById("map-shown").innerHTML = head.map;
    this.shown = asked;
    this.told("");
    const select = document.getElementById("map-quantity");
    if (chosen && [...select.options].some((option) => option.value === chosen)) {
      select.value = chosen;
      select.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }

  follow(job) {
    const runs = job.state === "running" || job.state === "waiting";
    const far = job.state === "running" && job.total ? `${job.done} of ${job.total} points` : FAR[job.state] ?? "";
    this.told(job.state === "failed" ? job.findings.map(sentences).join(" ") : far);
    const bar = document.getElementById("map-far"), stop = document.getElementById("map-stop");
    if (!bar) return;
    bar.hidden = stop.hidden = !runs;
    bar.max = job.total || 1;
    bar.value = job.done || 0;
  }

  told(words) {
    const place = document.getElementById("map-told");
    if (place && place.textContent !== words) place.textContent = words;
  }
}
