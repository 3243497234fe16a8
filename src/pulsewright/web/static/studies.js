// Studies on a sheet: asked again when the draft rests; until the answer is there they say that they are old.

import { block, Newest, post, Refusal } from "./ask.js";
import { sentences } from "./sheet.js";

export class Studies {
  constructor(draft, sheet) {
    this.draft = draft;
    this.sheet = sheet;
    this.asked = new Newest(() => this.fetch());
  }

  places() { return document.querySelectorAll("#sheet section.study[data-study]"); }

  // The draft rests: ask, if this sheet has studies.
  rested() { if (this.places().length) this.asked.ask(); }

  async fetch() {
    const { draft } = this;
    const asked = draft.key(), { view } = draft;
    let reply;
    try {
      reply = await block(await post("/studies", { view, draft: draft.plain() }));
    } catch (refusal) {
      if (view === draft.view) this.refused(refusal);
      return;
    }
    if (view !== draft.view || reply.head.sha !== draft.sha) return;
    for (const place of this.places()) {
      const words = reply.head.studies[place.dataset.study];
      if (words === undefined) continue;
      place.querySelector(".study-words").innerHTML = words;
      place.dataset.shown = "";
    }
    const sent = new Map(reply.head.plots.map((plot) => [plot.id, plot]));
    for (const [id, plot] of this.sheet.plots) {
      if (!plot.figure.closest(".study[data-study]")) continue;
      plot.figure.hidden = !sent.has(id);
      if (sent.has(id)) plot.update(sent.get(id), reply.arrays);
    }
    this.old(asked !== draft.key());
    this.sheet.reach();
  }

  old(isOld) {
    for (const place of this.places()) {
      place.querySelector(".study-note").textContent = isOld && "shown" in place.dataset ? "of the draft before; being worked out again" : "";
    }
  }

  refused(refusal) {
    const words = refusal instanceof Refusal ? refusal.findings.map(sentences).join(" ") : "The server does not answer.";
    for (const place of this.places()) place.querySelector(".study-note").textContent = `Not computed. ${words}`;
  }
}
