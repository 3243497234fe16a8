// The page: joins draft, line and sheet; asks for a shot when something moved, for the rest when it rests.

import { block, get, LongWork, Newest, post, Refusal } from "./ask.js";
import { Draft } from "./draft.js";
import { CHARGE, Line } from "./line.js";
import { sentences, Sheet } from "./sheet.js";
import { SizeWork } from "./size.js";
import { Studies } from "./studies.js";
import { DemandWork } from "./work.js";
import "./looks.js";

const $ = (id) => document.getElementById(id);
const draft = new Draft(JSON.parse(document.body.dataset.start));
const line = new Line(draft);
const sheet = new Sheet(draft);
const studies = new Studies(draft, sheet);
const size = new SizeWork(draft);
const works = ["map", "fill", "size_dye"].map((id) => new DemandWork(id, draft, sheet, () => line.charge?.voltage));
const REST = 280;
let restTimer = 0;
let wantDrawings = true;
let movedAt = 0;
let envelopeOf = null;

const live = new Newest(async () => {
  const body = { view: draft.view, draft: draft.plain(), drawings: wantDrawings };
  wantDrawings = false;
  const asked = draft.key();
  try { show(await block(await post("/shot", body)), false, asked === draft.key()); } catch (refusal) { refused(refusal); }
  if (movedAt) painted();
});

function moved() {
  movedAt ||= performance.now();
  studies.old(true);
  sheet.oldDecides();
  clearTimeout(restTimer);
  restTimer = setTimeout(rested, REST);
  live.ask();
}

// How long the last move took until its picture was painted; a benchmark reads it.
function painted() {
  const start = movedAt;
  movedAt = 0;
  requestAnimationFrame(() => setTimeout(() => {
    performance.clearMeasures("slider to paint");
    performance.measure("slider to paint", { start, end: performance.now() });
  }, 0));
}

function show({ head, arrays }, isSampled, isCurrent) {
  $("notice-server")?.remove();
  if (head.sha !== draft.sha) { changedOnDisk(); return; }
  line.show(head.charge, head.output, isSampled, isCurrent, head.quick);
  sheet.show(head, arrays);
  states(head.states);
  if (head.strip) placeStrip(head.strip);
}

function states(rows) {
  for (const [key, state] of Object.entries(rows)) {
    const text = document.querySelector(`#state-${key} text`);
    if (text) { text.textContent = state.text; text.setAttribute("class", `state ${state.grade}`); }
  }
}

function placeStrip(svg) {
  const focused = document.activeElement?.id;
  $("strip").innerHTML = svg;
  if (focused) document.getElementById(focused)?.focus();
  links();
}

function refused(refusal) {
  if (!(refusal instanceof Refusal)) { notice("server", "The server does not answer", "What is shown is old. Start it again, then reload.", []); return; }
  sheet.refuse(refusal.findings);
  line.notComputed(refusal.findings);
  const elsewhere = refusal.findings.filter((finding) => !sheet.entry(finding.path));
  $("said").textContent = `Not computed. ${elsewhere.concat(refusal.findings).slice(0, 1).map(sentences).join(" ")}`;
}

// What takes longer, when nothing moves any more.
async function rested() {
  links();
  studies.rested();
  for (const work of works) work.rested();
  size.opened();
  interval();
  envelope();
}

// The band: by sensitivities as soon as the draft rests, then by shots drawn from every range.
const bandWorks = ["interval", "sampled"].map((kind) => new LongWork(kind, (job) => line.sampling(kind, job)));
async function interval() {
  const asked = draft.key();
  for (const work of bandWorks) {
    const job = await work.start(draft.plain());
    if (job?.state !== "done" || asked !== draft.key()) return;
    const reply = await work.result(draft.view);
    if (asked !== draft.key()) return;
    show(reply, true, true);
    $("said").textContent = line.said ?? "";
  }
}

const envelopeWork = new LongWork("envelope", (job) => {
  if (job.state === "waiting" || job.state === "running") {
    const far = job.total ? `${job.done} of ${job.total} voltages` : "waiting";
    line.stopWords("being worked out", far, true);
  } else if (job.state === "stopped") line.stopWords("stopped", "not worked out for this draft; change something or reload to start again");
  else if (job.state === "failed") line.stopWords("not known", job.findings.map((f) => f.message).slice(0, 1).join(""));
});

async function envelope() {
  const without = { ...draft.plain() };
  delete without[CHARGE];
  const wanted = JSON.stringify([without, draft.view === "envelope" ? draft.plain()[CHARGE] ?? "" : ""]);
  if (wanted === envelopeOf) return;
  envelopeOf = wanted;
  const job = await envelopeWork.start(without);
  if (wanted !== envelopeOf) return;
  if (job?.state !== "done") { envelopeOf = null; return; }
  const { head, arrays } = await envelopeWork.result(draft.view, line.charge?.voltage);
  if (wanted !== envelopeOf || head.sha !== draft.sha) return;
  line.stops(head.stop);
  if (draft.view !== "envelope") return;
  sheet.show(head, arrays);
  if (head.lacks_ghost) ghostEnvelope(wanted);
}

// The saved build's envelope, for the ghosts: worked out last, since nothing waits for it.
async function ghostEnvelope(wanted) {
  const job = await new LongWork("envelope", () => {}).start({});
  if (job?.state !== "done" || wanted !== envelopeOf) return;
  const { head, arrays } = await envelopeWork.result(draft.view, line.charge?.voltage);
  if (wanted === envelopeOf && draft.view === "envelope") sheet.show(head, arrays);
}

$("stop-button").addEventListener("click", () => envelopeWork.stop());

// The draft, listed.
function listDraft() {
  const rows = [...draft.entries].map(([path, text]) => {
    const row = document.createElement("li");
    const name = document.createElement("code");
    name.textContent = path;
    const back = document.createElement("button");
    back.type = "button";
    back.textContent = "put back";
    back.setAttribute("aria-label", `Put ${path} back to what is saved`);
    back.addEventListener("click", () => draft.set(path, draft.saved.get(path), draft.saved.get(path)));
    row.append(name, ` ${draft.saved.get(path) || "not known"} → `, Object.assign(document.createElement("strong"), { textContent: text }), " ", back);
    return row;
  });
  $("draft-rows").replaceChildren(...rows);
  $("draft").hidden = !rows.length && !draft.steps.length;
  $("draft-count").textContent = rows.length ? `${rows.length} ${rows.length === 1 ? "entry" : "entries"} over the saved build; nothing is written yet` : "empty";
  $("undo").disabled = !draft.steps.length;
  $("drop").disabled = $("write").disabled = !rows.length;
}

draft.addEventListener("change", (event) => {
  if (event.detail.paths.some((path) => path !== CHARGE)) wantDrawings = true;
  listDraft();
  moved();
});

$("undo").addEventListener("click", () => draft.undo());
$("drop").addEventListener("click", () => draft.drop());
document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input[type=text], input[type=search], textarea");
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !event.shiftKey && !typing) { event.preventDefault(); draft.undo(); }
});

$("write").addEventListener("click", async () => {
  try {
    const reply = await (await post("/write", { draft: draft.plain(), sha: draft.sha })).json();
    sessionStorage.setItem("written", `Written: ${reply.written.join(", ")}`);
    draft.entries.clear();
    location.assign(`/sheet/${draft.view}${draft.query()}`);
  } catch (refusal) {
    if (refusal.status === 409) changedOnDisk();
    else notice("write", "Nothing was written", (refusal.findings ?? []).map((f) => `${f.path}: ${sentences(f)}`).join(" ") || "The server does not answer.", []);
  }
});

function changedOnDisk() {
  notice("conflict", "The build file was changed by someone else since this page read it",
    "Nothing of yours was written and nothing was overwritten. What is shown is old. Your draft is still here.", [
      ["Read the file again and lay my draft over it", `/sheet/${draft.view}${draft.query(false)}`],
      ["Read the file again without my draft", `/sheet/${draft.view}`],
    ]);
}

function notice(id, title, words, ways) {
  if ($(`notice-${id}`)) return;
  const box = document.createElement("div");
  box.className = "notice";
  box.id = `notice-${id}`;
  box.setAttribute("role", "alert");
  const head = Object.assign(document.createElement("h2"), { textContent: title });
  const text = Object.assign(document.createElement("p"), { textContent: words });
  const links = document.createElement("p");
  links.className = "ways";
  for (const [label, href] of ways) links.append(Object.assign(document.createElement("a"), { className: "button", textContent: label, href }));
  box.append(head, text, links);
  $("notices").append(box);
}

// Links of the page carry view, draft and pins.
function links() {
  const query = draft.query();
  for (const link of document.querySelectorAll('a[href^="/sheet/"], a[href^="/paper"], .shelf-list a')) {
    if (!link.closest(".notice")) link.setAttribute("href", link.getAttribute("href").split("?")[0] + query);
  }
}

async function open(view, push) {
  const answer = await get(`/part/${view}${draft.query()}`);
  if (push) history.pushState({ view }, "", `/sheet/${view}${draft.query()}`);
  draft.view = view;
  $("sheet").innerHTML = await answer.text();
  const inner = document.querySelector("#sheet .sheet");
  document.title = `${inner.dataset.title ?? "Findings"}: ${document.querySelector(".bench strong").textContent}`;
  document.querySelectorAll(".beside a").forEach((link) => link.toggleAttribute("aria-current", false));
  document.querySelector(`.beside a[data-view="${view}"]`)?.setAttribute("aria-current", "page");
  for (const part of document.querySelectorAll("#strip .part")) part.classList.toggle("selected", part.id === `part-${view}`);
  sheet.bind();
  wantDrawings = true;
  envelopeOf = null;
  draft.write();
  moved();
}

document.addEventListener("click", (event) => {
  const link = event.target.closest('a[href^="/sheet/"]');
  if (!link || link.closest(".notice") || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  const view = new URL(link.getAttribute("href"), location.href).pathname.split("/")[2];
  open(view, true).then(() => $("sheet").focus({ preventScroll: true }), () => { location.href = link.getAttribute("href"); });
});

window.addEventListener("popstate", () => {
  const { pathname, searchParams } = new URL(location.href);
  if (!pathname.startsWith("/sheet/")) { location.reload(); return; }
  draft.read(searchParams);
  listDraft();
  open(pathname.split("/")[2], false).catch(() => location.reload());
});

document.addEventListener("cursor", (event) => {
  for (const plot of sheet.plots.values()) {
    if (plot !== event.detail.from && plot.plot && event.detail.axis === `${plot.plot.x.words}${plot.plot.x.unit ? ` (${plot.plot.x.unit})` : ""}`) plot.read(event.detail.x, false);
  }
});

// On paper every list is open.
addEventListener("beforeprint", () => {
  for (const list of document.querySelectorAll("#sheet details.list:not([open])")) { list.open = true; list.dataset.opened = ""; }
});
addEventListener("afterprint", () => {
  for (const list of document.querySelectorAll("details[data-opened]")) { list.open = false; delete list.dataset.opened; }
});

new ResizeObserver(() => line.marks()).observe($("charge-marks"));
const written = sessionStorage.getItem("written");
if (written) {
  sessionStorage.removeItem("written");
  notice("written", written, "The saved build is now what you see.", []);
}
listDraft();
links();
moved();
