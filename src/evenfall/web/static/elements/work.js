// The strip of works that go on: what, how far, and stopping it.
//
//   <evenfall-work hidden><details><summary><span class="what"></span><progress></progress></summary><ul></ul></details></evenfall-work>

const WORDS = { proxy: "Preparing", read: "Finding the feet in", show: "Making a film to show of" };
const LIVE = ["waiting", "running"];

class Work extends HTMLElement {
  #jobs = new Map();
  #names = new Map();

  connectedCallback() {
    document.addEventListener("barn:open", this.#load);
    document.addEventListener("barn:job", this.#heard);
  }

  disconnectedCallback() {
    document.removeEventListener("barn:open", this.#load);
    document.removeEventListener("barn:job", this.#heard);
  }

  #load = async () => {
    const answer = await fetch("/api/jobs").catch(() => null);
    if (!answer?.ok) return;
    const { jobs } = await answer.json();
    this.#jobs = new Map(jobs.map((job) => [job.id, job]));
    for (const job of jobs) this.#names.set(job.clip, job.name);
    this.#show();
  };

  #heard = ({ detail: job }) => {
    if (!LIVE.includes(job.state)) this.#jobs.delete(job.id);
    else if (this.#names.has(job.clip)) this.#jobs.set(job.id, job);
    else this.#load();
    this.#show();
  };

  #show() {
    const jobs = [...this.#jobs.values()].sort((a, b) => (b.state === "running") - (a.state === "running") || a.id - b.id);
    this.hidden = jobs.length === 0;
    if (this.hidden) return;
    this.#sum(jobs[0], jobs.length - 1);
    const list = this.querySelector("ul");
    const rows = jobs.map((job) => list.querySelector(`li[data-job="${job.id}"]`) ?? this.#made(job));
    for (const row of [...list.children]) if (!rows.includes(row)) row.remove();
    rows.forEach((row, place) => {
      row.querySelector("span").textContent = this.#said(jobs[place]);
      if (list.children[place] !== row) list.insertBefore(row, list.children[place] ?? null);
    });
  }

  #sum(first, more) {
    this.querySelector(".what").textContent = this.#said(first) + (more ? ` · ${more} more` : "");
    const bar = this.querySelector("summary progress");
    bar.value = first.progress;
    bar.hidden = first.state === "waiting";
  }

  #said(job) {
    const how = job.state === "waiting" ? "waits its turn" : `${Math.round(100 * job.progress)} %`;
    return `${WORDS[job.kind]} ${this.#named(job)}, ${how}`;
  }

  #named(job) { return this.#names.get(job.clip) ?? "a film"; }

  #made(job) {
    const row = document.createElement("li");
    row.dataset.job = job.id;
    const stop = Object.assign(document.createElement("button"), { type: "button", textContent: "Stop" });
    stop.setAttribute("aria-label", `Stop: ${WORDS[job.kind]} ${this.#named(job)}`);
    stop.addEventListener("click", () => this.#stop(job.id, stop));
    row.append(document.createElement("span"), stop);
    return row;
  }

  async #stop(id, button) {
    button.disabled = true;
    button.textContent = "Stopping";
    const answer = await fetch(`/api/jobs/${id}/cancel`, { method: "POST" }).catch(() => null);
    if (answer?.ok) return;
    button.disabled = false;
    button.textContent = "Not stopped: try again";
  }
}

customElements.define("evenfall-work", Work);
