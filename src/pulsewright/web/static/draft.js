// The draft over the saved build, its undo steps, the pins, and the address that holds them all.

const TOGETHER = 700; // Changes of one entry closer than this, in ms, are one step.

export class Draft extends EventTarget {
  constructor(start) {
    super();
    this.view = start.view;
    this.sha = start.sha;
    this.build = start.build;
    this.entries = new Map(Object.entries(start.draft));
    this.saved = new Map(Object.entries(start.saved));
    this.pins = start.pins;
    this.steps = this.remembered();
    this.last = { path: "", time: 0 };
  }

  // Change an entry; a text equal to the saved one takes it out of the draft.
  set(path, text, saved) {
    if (saved !== undefined) this.saved.set(path, saved);
    const before = this.entries.get(path) ?? null;
    const after = text === this.saved.get(path) ? null : text;
    if (before === after) return;
    const now = performance.now();
    const together = this.last.path === path && now - this.last.time < TOGETHER;
    if (!together) this.steps.push([[path, before]]);
    this.last = { path, time: now };
    this.apply(path, after);
    this.changed([path]);
  }

  text(path) { return this.entries.get(path) ?? this.saved.get(path) ?? ""; }

  undo() {
    const step = this.steps.pop();
    if (!step) return;
    for (const [path, before] of step) this.apply(path, before);
    this.last = { path: "", time: 0 };
    this.changed(step.map(([path]) => path));
  }

  drop() {
    if (!this.entries.size) return;
    const paths = [...this.entries.keys()];
    this.steps.push(paths.map((path) => [path, this.entries.get(path)]));
    this.entries.clear();
    this.last = { path: "", time: 0 };
    this.changed(paths);
  }

  pin(path, most) {
    const at = this.pins.findIndex((pin) => pin.path === path);
    if (at >= 0) this.pins.splice(at, 1);
    else this.pins.push({ path, most });
    this.write();
    this.dispatchEvent(new Event("pins"));
  }

  plain() { return Object.fromEntries(this.entries); }

  query(withBuild = true) {
    const query = new URLSearchParams();
    if (withBuild && this.entries.size) query.set("build", this.build);
    for (const [path, text] of this.entries) query.append("set", `${path}~${text}`);
    for (const pin of this.pins) query.append("pin", pin.path);
    const text = query.toString();
    return text ? `?${text}` : "";
  }

  // Put view and draft into the address.
  write() {
    const place = location.pathname.startsWith("/formulas/") ? location.pathname : `/sheet/${this.view}`;
    history.replaceState({ view: this.view }, "", `${place}${this.query()}`);
    sessionStorage.setItem("steps", JSON.stringify({ build: this.build, draft: this.key(), steps: this.steps.slice(-100) }));
  }

  // From an address that Back or Forward brought.
  read(query) {
    const pairs = query.getAll("set").map((text) => text.split(/~(.*)/s).slice(0, 2));
    this.entries = new Map(pairs);
    this.steps = this.remembered();
  }

  apply(path, text) {
    if (text === null) this.entries.delete(path);
    else this.entries.set(path, text);
  }

  changed(paths) {
    this.write();
    this.dispatchEvent(new CustomEvent("change", { detail: { paths } }));
  }

  key() { return JSON.stringify([...this.entries].sort()); }

  remembered() {
    try {
      const found = JSON.parse(sessionStorage.getItem("steps"));
      if (found?.build === this.build && found.draft === this.key()) return found.steps;
    } catch { /* nothing remembered */ }
    return [];
  }
}
