// The charts of a horse's page: fetched once the page stands, again where left and right are wanted apart.
// The tables are in the page already, so the charts carry none.

import "./chart.js";

const page = document.querySelector("[data-horse]");
const wish = page.querySelector("[data-part=sides]");
const AXIS_PX = 84;

let drawnAt = 0;

// What is left for a drawing beside its axis.
function wide() { return Math.min(Math.max(Math.floor(page.querySelector("[data-chart]").clientWidth - AXIS_PX), 150), 1100); }

async function draw() {
  drawnAt = wide();
  const query = new URLSearchParams({ sides: wish.querySelector("input").checked, width: wide() });
  const answer = await fetch(`/api/horses/${page.dataset.horse}/charts?${query}`);
  if (!answer.ok) return;
  const { charts } = await answer.json();
  for (const place of page.querySelectorAll("[data-chart]")) {
    const spec = charts[place.dataset.chart];
    if (spec) put(place, spec);
  }
}

function put(place, spec) {
  const chart = place.querySelector("evenfall-chart") ?? document.createElement("evenfall-chart");
  chart.name = place.dataset.title;
  chart.spec = spec;
  if (!chart.isConnected) place.append(chart);
}

wish.hidden = false;
wish.addEventListener("change", draw);
new ResizeObserver(() => { if (Math.abs(wide() - drawnAt) > 40) draw(); }).observe(page);
await draw();
page.dataset.drawn = "";
