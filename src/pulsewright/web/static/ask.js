// Asking the server: one request in flight, the newest value wins; long work is followed until it ends.

export class Refusal extends Error {
  constructor(status, findings) {
    super(findings[0]?.message ?? `status ${status}`);
    this.status = status;
    this.findings = findings;
  }
}

async function checked(response) {
  if (response.ok) return response;
  let findings = [];
  try { findings = (await response.json()).findings ?? []; } catch { /* not JSON: the status says it */ }
  throw new Refusal(response.status, findings);
}

export async function post(path, body) {
  return checked(await fetch(path, {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body ?? {}),
  }));
}

export async function get(path) { return checked(await fetch(path)); }

// A binary reply: length of the head, the head, then float32.
export async function block(response) {
  const bytes = await response.arrayBuffer();
  const size = new DataView(bytes).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, size)));
  return { head, arrays: new Float32Array(bytes, 4 + size) };
}

// Runs one piece of work at a time; what is asked for meanwhile is remembered, the newest only.
export class Newest {
  constructor(work) { this.work = work; this.busy = false; this.next = null; }

  async ask(value) {
    this.next = [value];
    if (this.busy) return;
    this.busy = true;
    try {
      while (this.next) {
        const [now] = this.next;
        this.next = null;
        await this.work(now);
      }
    } finally { this.busy = false; }
  }
}

const pause = (time) => new Promise((done) => { setTimeout(done, time); });

// Long work of one kind: starting a new one stops the one before it.
export class LongWork {
  constructor(kind, told) { this.kind = kind; this.told = told; this.id = ""; this.turn = 0; }

  // With `start` false the work is only followed where it was started before; `found` is told what there is.
  async start(draft, start = true, found = () => {}) {
    const turn = ++this.turn;
    try {
      let job = await (await post("/jobs", { kind: this.kind, draft, start })).json();
      found(job);
      if (job.state === "none") return job;
      if (this.id && this.id !== job.id) this.abandon(this.id);
      this.id = job.id;
      while (turn === this.turn && (job.state === "waiting" || job.state === "running")) {
        this.told(job);
        await pause(160);
        job = await (await get(`/jobs/${job.id}`)).json();
      }
      if (turn !== this.turn) return null;
      this.told(job);
      return job;
    } catch (refusal) {
      if (!(refusal instanceof Refusal) || turn !== this.turn) return null;
      this.told({ state: "failed", findings: refusal.findings });
      return null;
    }
  }

  result(view, now) {
    const query = new URLSearchParams({ view, ...(now === undefined ? {} : { now }) });
    return get(`/jobs/${this.id}/result?${query}`).then(block);
  }

  stop() { if (this.id) this.abandon(this.id); }

  abandon(id) { post(`/jobs/${id}/stop`).catch(() => {}); }
}
