// A film to show while it is made: how far it is; the page is loaded anew once it is over, however it ended.
//
// Told by the barn's stream. A page that was away, or begins after the work ended, asks when the stream opens.

import { tied } from "evenfall/words.js";

const LIVE = ["waiting", "running"];
const page = document.querySelector("[data-showing]");
const id = Number(page.dataset.showing);
const says = page.querySelector("[data-part=says]");
const bar = page.querySelector("progress");
let over = false;

function told(job) {
  if (!LIVE.includes(job.state)) return end();
  bar.value = job.progress;
  const words = job.state === "waiting" ? "It waits its turn." : tied(`It is being made: ${Math.round(100 * job.progress)} % is done.`);
  if (says.textContent !== words) says.textContent = words;
}

function end() {
  if (over) return;
  over = true;
  location.reload();
}

document.addEventListener("barn:job", ({ detail: job }) => { if (job.showing === id) told(job); });
document.addEventListener("barn:open", async () => {
  const answer = await fetch("/api/jobs").catch(() => null);
  if (!answer?.ok) return;
  const job = (await answer.json()).jobs.find((each) => each.showing === id);
  if (job) told(job); else end();
});
page.dataset.follows = "";
