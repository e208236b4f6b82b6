// Four feet from above, drawn as wide as their place allows.
//
//   <evenfall-feet src="/api/bench/feet?horse=3"></evenfall-feet>

import "./chart.js";

const EDGE_PX = 24;
const LEAST_PX = 260;
const MOST_PX = 640;

class Feet extends HTMLElement {
  async connectedCallback() {
    const width = Math.min(Math.max(Math.floor(this.clientWidth - EDGE_PX), LEAST_PX), MOST_PX);
    const address = new URL(this.getAttribute("src"), location.href);
    address.searchParams.set("width", width);
    const answer = await fetch(address).catch(() => null);
    if (!this.isConnected) return;
    if (!answer?.ok) return void (this.textContent = "The picture could not be fetched; its numbers are in the table.");
    const { name, spec } = await answer.json();
    if (!spec) return;
    const chart = document.createElement("evenfall-chart");
    Object.assign(chart, { name, spec });
    this.replaceChildren(chart);
  }
}

customElements.define("evenfall-feet", Feet);
