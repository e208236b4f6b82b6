// One film sent in pieces: it can pause, go on, be given up, and begins again where it broke off.
//
//   const sending = new Sending(file, { outing: 3 });   sending.start();
//   sending.pause();   sending.start();   sending.cancel();
//
// `begin` is where it is begun and finished, where that is not as a film; its pieces go the same way.
//
// Events: `change` (state and sent are new), `done` with detail {clip, duplicate}, `refused` with detail {message}.
// States: waiting, sending, paused, lost (tries again by itself), finishing, done, refused, cancelled.

const PIECE = 2 ** 20; // small, so that a slow barn sees it move and a pause or a lost connection costs little
const WAITS_MS = [500, 1000, 2000, 4000, 8000, 15000];

class Refused extends Error {}

export class Sending extends EventTarget {
  state = "waiting";
  sent = 0;
  #file;
  #outing;
  #begin;
  #id = null;
  #failures = 0;
  #runs = false;
  #stop = null;
  #waiting = null;

  constructor(file, { outing, begin = "/api/uploads" }) {
    super();
    this.#file = file;
    this.#outing = outing;
    this.#begin = begin;
  }

  get name() { return this.#file.name; }
  get size() { return this.#file.size; }

  async start() {
    if (this.#runs || ["done", "cancelled"].includes(this.state)) return;
    this.#runs = true;
    this.#stop = new AbortController();
    this.#set("sending");
    try {
      while (!this.#stop.signal.aborted) if (await this.#attempt()) break;
    } finally {
      this.#runs = false;
    }
  }

  pause() {
    if (!this.#runs || this.state === "finishing") return;
    this.#stop.abort();
    this.#set("paused");
  }

  async cancel() {
    this.#stop?.abort();
    this.#set("cancelled");
    if (this.#id) await fetch(`/api/uploads/${this.#id}`, { method: "DELETE" }).catch(() => null);
  }

  hurry() { this.#waiting?.(); }

  // True when there is nothing left to try.
  async #attempt() {
    try {
      await this.#find();
      await this.#pieces();
      this.#set("finishing");
      const kept = await this.#ask(`${this.#begin}/${this.#id}/finish`, { method: "POST" });
      this.#set("done");
      this.dispatchEvent(new CustomEvent("done", { detail: kept }));
      return true;
    } catch (error) {
      if (this.#stop.signal.aborted) return true;
      if (error instanceof Refused) {
        this.#set("refused");
        this.dispatchEvent(new CustomEvent("refused", { detail: { message: error.message } }));
        return true;
      }
      await this.#wait();
      return false;
    }
  }

  // Asks where the film stands; the same film on the same device is known again.
  async #find() {
    const { name, size, lastModified } = this.#file;
    const asked = { key: `${name}+${size}+${lastModified}`, name, size, outing: this.#outing };
    const upload = await this.#ask(this.#begin, {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(asked),
    });
    this.#id = upload.id;
    this.sent = upload.offset;
    this.#set("sending");
  }

  async #pieces() {
    while (this.sent < this.size) {
      const answer = await fetch(`/api/uploads/${this.#id}`, {
        method: "PATCH", headers: { "upload-offset": String(this.sent), "content-type": "application/octet-stream" },
        body: this.#file.slice(this.sent, this.sent + PIECE), signal: this.#stop.signal,
      });
      if (answer.status !== 409 && !answer.ok) await this.#fail(answer);
      const before = this.sent;
      this.sent = (await answer.json()).offset;
      if (this.sent === before) throw new Error("the film did not get on");
      this.#failures = 0;
      this.#set("sending");
    }
  }

  async #ask(address, options) {
    const answer = await fetch(address, { ...options, signal: this.#stop.signal });
    if (!answer.ok) await this.#fail(answer);
    return answer.json();
  }

  // What the barn refuses stays refused; a barn that is busy or not there is asked again.
  async #fail(answer) {
    if (answer.status >= 500 && answer.status !== 507) throw new Error(`status ${answer.status}`);
    const told = await answer.json().catch(() => null);
    throw new Refused(told?.error?.message ?? `The barn's computer refused the film (${answer.status}).`);
  }

  async #wait() {
    this.#set("lost");
    const wait_ms = WAITS_MS[Math.min(this.#failures++, WAITS_MS.length - 1)];
    await new Promise((resolve) => {
      this.#waiting = resolve;
      setTimeout(resolve, wait_ms);
      this.#stop.signal.addEventListener("abort", resolve, { once: true });
    });
    this.#waiting = null;
  }

  #set(state) {
    this.state = state;
    this.dispatchEvent(new Event("change"));
  }
}
