// The picture of a comparison, drawn as wide as its place allows, and again where the place changes.
//
//   <evenfall-compare-chart src="/api/horses/3/compare/chart?before=setup:1&after=setup:2"></evenfall-compare-chart>

import "./chart.js";

const EDGE_PX = 36;
const LEAST_PX = 220;
const MOST_PX = 900;

class CompareChart extends HTMLElement {
  #drawnAt = 0;

  connectedCallback() {
    this.#draw();
    this.watch = new ResizeObserver(() => { if (Math.abs(this.#width() - this.#drawnAt) > 40) this.#draw(); });
    this.watch.observe(this);
  }

  disconnectedCallback() { this.watch.disconnect(); }

  #width() { return Math.min(Math.max(Math.floor(this.clientWidth - EDGE_PX), LEAST_PX), MOST_PX); }

  async #draw() {
    this.#drawnAt = this.#width();
    const address = new URL(this.getAttribute("src"), location.href);
    address.searchParams.set("width", this.#drawnAt);
    const answer = await fetch(address).catch(() => null);
    if (!this.isConnected) return;
    if (!answer?.ok) return void (this.textContent = "The picture could not be fetched. Load the page again.");
    const { name, spec, table } = await answer.json();
    if (!spec) return;
    const chart = this.querySelector("evenfall-chart") ?? document.createElement("evenfall-chart");
    Object.assign(chart, { name, spec, table });
    if (!chart.isConnected) this.replaceChildren(chart);
  }
}

customElements.define("evenfall-compare-chart", CompareChart);
