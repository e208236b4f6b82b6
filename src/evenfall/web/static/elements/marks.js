// The marks of one clip: shown at once, sent as soon as possible, never lost.
//
//   const marks = new Marks("/api/clips/3/marks", { key: "3" });
//   await marks.load();
//   marks.add({limb: "LF", event: "on", time_s: 1.2});  marks.undo();
//
// Acts carry ids of their own, so that one sent twice is done once. Acts not sent yet are kept by the browser, page
// closed or not. Events: `change` (the marks differ), `saved` (detail {waiting}), `refused` (detail {message}).

const AGAIN_MS = 2000;

export class Marks extends EventTarget {
  #url;
  #key;
  #server = { revision: -1, marks: [], check: [], next: null };
  #queue = [];
  #sending = null;
  #rows = new Map();
  #done = [];
  #undone = [];

  constructor(url, { key }) {
    super();
    this.#url = url;
    this.#key = `evenfall-acts-${key}-${newId()}`;
    this.#queue = leftBehind(`evenfall-acts-${key}-`);
    this.#kept();
    addEventListener("online", () => this.#send());
  }

  get waiting() { return this.#queue.length; }
  get check() { const gone = this.#spokenOf(); return this.#server.check.filter((id) => !gone.has(id)); }
  get next() { return this.waiting ? null : this.#server.next; }
  get revision() { return this.#server.revision; }
  get canUndo() { return this.#done.length > 0; }
  get canRedo() { return this.#undone.length > 0; }

  // Every mark to show, acts not sent yet among them, in order of time.
  get all() {
    const rows = new Map(this.#server.marks.map((mark) => [mark.id, mark]));
    for (const act of this.#queue) applied(rows, act, this.#rows);
    const gone = new Set([...rows.values()].map((mark) => mark.stands_for).filter(Boolean));
    return [...rows.values()].filter((mark) => !gone.has(mark.id)).sort((a, b) => a.time_s - b.time_s);
  }

  find(id) { return this.all.find((mark) => mark.id === id); }

  async load() {
    const answer = await fetch(this.#url).catch(() => null); // no network: what is shown stays
    if (answer?.ok) this.#took(await answer.json());
    await this.#send();
  }

  add({ limb, event, time_s, stands_for = null, rejected = false }) {
    const id = newId();
    const made = { act: "add", id, limb, event, time_s, stands_for, rejected };
    this.#do([made], [{ act: "delete", id }], [{ act: "restore", id }]);
    return id;
  }

  move(id, time_s) {
    const mark = this.find(id);
    if (!mark || mark.time_s === time_s) return id;
    if (mark.by === "machine") return this.add({ ...mark, time_s, stands_for: id });
    this.#do([{ act: "move", id, time_s }], [{ act: "move", id, time_s: mark.time_s }]);
    return id;
  }

  // A mark of one's own goes; the machine's is rejected, and so stays gone, accepted before or not. What was rejected
  // already is left to the machine again.
  remove(id) {
    const mark = this.find(id);
    if (!mark) return;
    if (mark.by === "machine") this.add({ ...mark, stands_for: id, rejected: true });
    else if (mark.stands_for && !mark.rejected) {
      this.#do([{ act: "move", id, rejected: true }], [{ act: "move", id, rejected: false }]);
    } else this.#do([{ act: "delete", id }], [{ act: "restore", id }]);
  }

  // The mark that was turned back, or null.
  undo() {
    const step = this.#done.pop();
    if (!step) return null;
    this.#undone.push(step);
    this.#act(step.undo);
    return step.undo[0].id;
  }

  redo() {
    const step = this.#undone.pop();
    if (!step) return null;
    this.#done.push(step);
    this.#act(step.redo);
    return step.redo[0].id;
  }

  // When everything so far is saved, or has to wait for the network.
  async settled() { await this.#sending; }

  #do(acts, undo, redo = acts) {
    this.#done.push({ undo, redo });
    this.#undone = [];
    this.#act(acts);
  }

  #act(acts) {
    for (const mark of this.all) this.#rows.set(mark.id, mark);
    this.#queue.push(...acts.map((act) => ({ ...act, op: newId() })));
    this.#kept();
    this.dispatchEvent(new Event("change"));
    this.#send();
  }

  #send() {
    this.#sending ??= this.#sendAll().finally(() => { this.#sending = null; });
    return this.#sending;
  }

  async #sendAll() {
    while (this.#queue.length) {
      const acts = this.#queue.slice();
      const answer = await this.#post(acts);
      if (answer === "later") { setTimeout(() => this.#send(), AGAIN_MS); return; }
      if (answer === "refused" && acts.length > 1) { await this.#oneByOne(acts); continue; }
      this.#drop(acts);
    }
  }

  // One refused act must not keep the others from being saved.
  async #oneByOne(acts) {
    for (const act of acts) {
      if (await this.#post([act]) === "later") return;
      this.#drop([act]);
    }
  }

  async #post(acts) {
    let answer;
    try {
      answer = await fetch(this.#url, {
        method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ acts }),
      });
    } catch {
      return "later"; // no network: kept, and sent again
    }
    if (answer.ok) { this.#took(await answer.json(), acts); return "done"; }
    if (answer.status >= 500 || answer.status === 401 || answer.status === 429) return "later";
    const told = (await answer.json().catch(() => ({}))).error?.message ?? `the mark was refused (${answer.status})`;
    if (acts.length === 1) this.dispatchEvent(new CustomEvent("refused", { detail: { message: told } }));
    return "refused";
  }

  #took(data, acts = []) {
    const sent = new Set(acts.map((act) => act.op));
    this.#queue = this.#queue.filter((act) => !sent.has(act.op));
    if (data.revision >= this.#server.revision) this.#server = data;
    this.#kept();
    this.dispatchEvent(new Event("change"));
  }

  #drop(acts) {
    const sent = new Set(acts.map((act) => act.op));
    this.#queue = this.#queue.filter((act) => !sent.has(act.op));
    this.#kept();
    this.dispatchEvent(new Event("change"));
  }

  #kept() {
    if (this.#queue.length) localStorage.setItem(this.#key, JSON.stringify(this.#queue));
    else localStorage.removeItem(this.#key);
    this.dispatchEvent(new CustomEvent("saved", { detail: { waiting: this.waiting } }));
  }

  #spokenOf() { return new Set(this.#queue.map((act) => act.stands_for).filter(Boolean)); }
}

// Acts that a page of this browser could not send before it was closed.
function leftBehind(prefix) {
  const keys = Object.keys(localStorage).filter((key) => key.startsWith(prefix));
  const acts = keys.flatMap((key) => JSON.parse(localStorage.getItem(key)));
  for (const key of keys) localStorage.removeItem(key);
  return acts;
}

function applied(rows, act, known) {
  if (act.act === "add") {
    rows.set(act.id, { sd_s: 0, source: "person", confidence: 1, by: "person", ...act });
  } else if (act.act === "delete") {
    rows.delete(act.id);
  } else if (act.act === "restore") {
    const before = rows.get(act.id) ?? known.get(act.id);
    if (before) rows.set(act.id, before);
  } else if (act.act === "move") {
    const before = rows.get(act.id) ?? known.get(act.id);
    if (before) rows.set(act.id, { ...before, time_s: act.time_s ?? before.time_s, rejected: act.rejected ?? false });
  }
}

// Plain-http pages of the barn's network have no randomUUID.
function newId() {
  return Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}
