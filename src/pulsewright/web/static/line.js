// The line that never leaves the screen: charge, stored energy, output with its band, what stops you; and the pins.

import { element } from "./scene.js";

export const CHARGE = "bank.charge_voltage";
const $ = (id) => document.getElementById(id);
const NUMBER = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$/s;

const shorter = (value, digits) => String(Number(value.toPrecision(digits)));

// Energies of one line in one unit: that of the first, unless the largest would get too long in it.
function energies(values) {
  const most = Math.max(...values.map(Math.abs)), first = Math.abs(values[0]);
  const largest = first > 0 && most < 200 * first ? first : most;
  const [unit, scale] = largest >= 0.9995e3 ? ["kJ", 1e3] : largest >= 0.1 ? ["J", 1] : largest >= 1e-4 ? ["mJ", 1e-3] : ["uJ", 1e-6];
  const texts = values.map((value) => {
    const shown = value / scale;
    return shown === 0 ? "0" : Math.abs(shown) < 0.001 ? "0.00" : shown.toPrecision(3).includes("e") ? String(Math.round(shown)) : shown.toPrecision(3);
  });
  return { unit, texts };
}

export const volts = (value) => (value >= 1000 ? `${shorter(value / 1000, 4)} kV` : `${shorter(value, 4)} V`);

export class Line {
  constructor(draft) {
    this.draft = draft;
    this.slider = $("charge");
    this.numberBox = $("charge-number");
    this.full = Number(this.slider.dataset.full);
    this.saved = Number(this.slider.dataset.saved);
    this.band = null;
    this.stop = null;
    this.slider.addEventListener("input", () => this.moved());
    this.numberBox.addEventListener("change", () => this.typed());
    this.numberBox.addEventListener("keydown", (event) => { if (event.key === "Enter") this.typed(); });
    draft.addEventListener("pins", () => this.pins());
    this.pins();
  }

  moved() {
    const value = Math.max(Number(this.slider.value), Number(this.slider.step));
    this.numberBox.value = volts(value);
    this.draft.set(CHARGE, volts(value));
  }

  typed() {
    const text = this.numberBox.value.trim();
    const found = NUMBER.exec(text);
    this.draft.set(CHARGE, found && !found[2] ? `${found[1]} kV` : text);
  }

  // After a shot: everything but what stops you. A reply that is older than what is set now leaves slider and number alone.
  show(charge, output, isSampled, isCurrent, isQuick) {
    this.quick = isQuick;
    this.full = charge.full;
    this.saved = charge.saved;
    this.slider.max = String(charge.full);
    if (isCurrent) {
      if (document.activeElement !== this.slider || Math.abs(Number(this.slider.value) - charge.voltage) > charge.full / 240) {
        this.slider.value = String(charge.voltage);
      }
      this.slider.setAttribute("aria-valuetext", charge.voltage_text);
      if (document.activeElement !== this.numberBox) this.numberBox.value = charge.voltage_text;
    }
    $("stored").textContent = charge.stored_text;
    $("energy-percent").textContent = charge.energy_percent;
    $("voltage-percent").textContent = charge.voltage_percent;
    if (isSampled) this.band = { below: output.energy - output.low, above: output.high - output.energy, at: charge.voltage_text, span: output.span };
    else $("output-far").textContent = "";
    this.charge = charge;
    this.output(output, isSampled);
    this.stands();
  }

  output(output, isSampled) {
    const beam = output.lased ? (output.invisible ? "unseen" : "seen") : "none";
    document.body.dataset.beam = beam;
    if (output.colour) document.documentElement.style.setProperty("--beam", output.colour);
    const { band } = this;
    const known = output.lased || output.energy > 0 || (isSampled && output.high > 0);
    if (!known) {
      $("output").textContent = `none: ${output.outcome}`;
      $("output-band").textContent = output.reason;
      return;
    }
    const ends = band ? [Math.max(0, output.energy - band.below), output.energy + band.above] : [];
    const { unit, texts } = energies([output.energy, ...ends]);
    $("output").textContent = `${texts[0]} ${unit}`;
    const carried = band && !isSampled ? `, band carried over from ${band.at}` : "";
    const words = band ? `${texts[1]} to ${texts[2]} ${unit} (${band.span}${carried})` : "band being worked out";
    const more = output.lased ? `${output.wavelength_text}, ${output.pulse_text}` : output.outcome;
    $("output-band").textContent = [words, more, this.quick ? "closed form; the traced map follows" : ""].filter(Boolean).join(" · ");
    this.said = `Output ${texts[0]} ${unit}, ${words}.`;
  }

  // How far the sampling of the band is.
  sampling(kind, job) {
    const runs = job.state === "running" && job.total > 1;
    $("output-far").textContent = kind === "sampled" && runs ? `· sampled ${job.done} of ${job.total}` : "";
  }

  notComputed(findings) {
    $("output").textContent = "not computed";
    $("output-band").textContent = findings.length ? `${findings[0].path}: ${findings[0].message}` : "";
    document.body.dataset.beam = "none";
  }

  // What stops you, from the envelope.
  stops(stop) {
    this.stop = stop;
    this.stands();
    this.marks();
  }

  stopWords(text, detail = "", stoppable = false) {
    $("stop").textContent = text;
    $("stop-detail").textContent = detail;
    $("stop-button").hidden = !stoppable;
  }

  stands() {
    const { stop, charge } = this;
    if (!stop || !charge) return;
    const beyond = stop.voltage !== null && charge.voltage >= stop.voltage;
    const parts = [beyond ? `■ beyond it now: ${stop.detail}` : stop.detail, stop.unjudged, stop.threshold_text];
    this.stopWords(stop.text, parts.filter(Boolean).join(" · "));
    document.getElementById("line").classList.toggle("beyond", beyond);
  }

  // Threshold, limit and saved voltage on the slider.
  marks() {
    const box = $("charge-marks");
    const width = box.clientWidth;
    const thumb = 14;
    const at = (value) => thumb + (value / this.full) * (width - 2 * thumb);
    const rows = [[this.saved, "saved", "thin"], [this.stop?.threshold, "lases", "threshold"], [this.stop?.voltage, "stops", "limit"]];
    const svg = element("svg", { width, height: 24 });
    let last = -Infinity;
    for (const [value, words, role] of rows.filter(([v]) => v != null && v <= this.full).sort((a, b) => a[0] - b[0])) {
      const x = at(value);
      const start = Math.max(x + 3, last + 8);
      svg.append(element("line", { class: role, x1: x, x2: x, y1: 0, y2: 14 }));
      svg.append(element("text", { class: "mark", x: start, y: 22 }, [words]));
      last = start + words.length * 6;
    }
    box.replaceChildren(svg);
  }

  pins() {
    $("pins").replaceChildren(...this.draft.pins.map((pin) => this.pin(pin)).filter(Boolean));
  }

  pin({ path, most }) {
    const saved = NUMBER.exec(this.draft.saved.get(path) ?? "");
    if (!saved || Number(saved[1]) === 0) return null;
    const centre = Number(saved[1]), unit = saved[2];
    const ends = [centre * 0.5, centre * 1.5].sort((a, b) => a - b);
    const high = most == null || unit === "%" ? ends[1] : Math.min(ends[1], most);
    const box = document.createElement("div");
    box.className = "pin";
    box.dataset.path = path;
    const id = `pin-${path.replaceAll(".", "-")}`;
    box.innerHTML = '<label></label><input type="range"><output></output><button type="button" class="unpin">unpin</button>';
    const [label, slider, output, button] = box.children;
    label.textContent = path;
    label.htmlFor = slider.id = id;
    output.htmlFor = id;
    Object.assign(slider, { min: ends[0], max: high, step: (high - ends[0]) / 200 });
    const show = () => {
      const text = this.draft.text(path);
      const now = NUMBER.exec(text);
      if (now && now[2] === unit) slider.value = now[1];
      output.textContent = text;
      slider.setAttribute("aria-valuetext", text);
    };
    slider.addEventListener("input", () => {
      this.draft.set(path, `${shorter(Number(slider.value), 4)}${unit ? ` ${unit}` : ""}`);
      show();
    });
    this.draft.addEventListener("change", show);
    button.setAttribute("aria-label", `Take the slider of ${path} away`);
    button.addEventListener("click", () => this.draft.pin(path));
    show();
    return box;
  }
}
