// Sizing: a wish in a form, candidates as long work. The wish is kept for this tab, so that a reload finds its answer.

import { LongWork } from "./ask.js";
import { sentences } from "./sheet.js";

const KEPT = "wish";
const $ = (id) => document.getElementById(id);

export class SizeWork {
  constructor(draft) {
    this.draft = draft;
    this.work = new LongWork("size", (job) => this.follow(job));
    document.addEventListener("submit", (event) => {
      if (event.target.id !== "size-form") return;
      event.preventDefault();
      sessionStorage.setItem(KEPT, JSON.stringify(this.wish()));
      this.begin(true);
    });
    document.addEventListener("click", (event) => { if (event.target.id === "size-stop") this.work.stop(); });
  }

  // The sheet was opened: the wish of before comes back, and its answer if there is one.
  opened() {
    const kept = sessionStorage.getItem(KEPT);
    if (!$("size-form") || !kept || "back" in $("size-form").dataset) return;
    $("size-form").dataset.back = "";
    for (const [key, text] of Object.entries(JSON.parse(kept))) if ($(`w-${key}`)) $(`w-${key}`).value = text;
    this.begin(false);
  }

  wish() { return Object.fromEntries([...new FormData($("size-form"))].map(([key, text]) => [key, String(text).trim()])); }

  async begin(start) {
    const job = await this.work.start(this.wish(), start);
    if (job?.state !== "done") return;
    const { head } = await this.work.result(this.draft.view);
    if ($("size-shown")) $("size-shown").innerHTML = head.sizing;
  }

  follow(job) {
    if (!$("size-told")) return;
    const runs = job.state === "running" || job.state === "waiting";
    $("size-told").textContent = job.state === "failed"
      ? job.findings.map((finding) => `${finding.path}: ${sentences(finding)}`).join(" ")
      : job.state === "running" && job.total ? `${job.done} of ${job.total} candidates simulated` : runs || job.state === "stopped" ? job.state : "";
    $("size-far").hidden = $("size-stop").hidden = !runs;
    $("size-far").max = job.total || 1;
    $("size-far").value = job.done || 0;
  }
}
