// What goes on before a film can be shown, and while the machine reads it.

import { tied } from "./words.js";

const LOOK_MS = 1500;

// Resolves with the clip once its film can be stepped; says how far it is until then.
export async function filmReady(page, id) {
  let asked = false;
  for (;;) {
    const answer = await fetch(`/api/clips/${id}`);
    const clip = await answer.json();
    if (!answer.ok) throw new Error(clip.error?.message ?? "The film was not found.");
    if (clip.film) return clip;
    if (clip.state === "failed") throw new Error(clip.problem);
    const job = (clip.jobs ?? []).find((each) => each.kind === "proxy");
    if (!job && !asked) asked = await ask(id, "proxy"); // what was made ready can be thrown away, and is made again
    progress(page, job, "The film is being made ready to step through");
    await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
  }
}

// Listens to the barn: another device's marks, the machine's reading of this film; one that goes on already is told at once.
export function followReading(page, { id, jobs }, { read, marks }) {
  for (const job of jobs ?? []) if (job.kind === "read") reading(page, job);
  document.addEventListener("barn:open", () => marks());
  document.addEventListener("barn:marks", (event) => { if (event.detail.clip === id) marks(); });
  document.addEventListener("barn:job", (event) => {
    const job = event.detail;
    if (job.clip !== id || job.kind !== "read") return;
    reading(page, job);
    if (job.state === "done") read();
  });
  const button = page.querySelector("[data-part=find]");
  button?.addEventListener("click", async () => {
    const line = page.querySelector("[data-part=reading]");
    line.hidden = false;
    line.textContent = await ask(id, "read") ? "The feet will be looked for in the film." : "Not begun: the barn's computer does not answer.";
  });
}

function reading(page, job) {
  const line = page.querySelector("[data-part=reading]");
  if (!line) return;
  line.hidden = job.state === "done" || job.state === "cancelled";
  line.textContent = {
    waiting: "The feet will be looked for in the film; it waits its turn. Marking by hand need not wait.",
    running: tied(`The feet are being looked for in the film: ${Math.round(100 * job.progress)} %. Marking by hand need not wait.`),
  }[job.state] ?? job.message;
}

async function ask(id, kind) {
  const answer = await fetch(`/api/clips/${id}/jobs`, {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ kind }),
  }).catch(() => null);
  return Boolean(answer?.ok);
}

export function told(page, error) {
  const place = page.querySelector("[data-part=waiting]");
  place.hidden = false;
  place.querySelector("[data-part=says]").textContent = error.message;
  place.querySelector("progress").hidden = true;
  console.error(error);
}

function progress(page, job, words) {
  const place = page.querySelector("[data-part=waiting]");
  const bar = place.querySelector("progress");
  const share = job?.state === "running" ? job.progress : null;
  if (share === null) bar.removeAttribute("value"); else bar.value = share;
  const state = job?.state === "waiting" || !job ? "It waits its turn." : tied(`${Math.round(100 * share)} % done.`);
  place.querySelector("[data-part=says]").textContent = `${words}. ${state} This page opens by itself.`;
}
