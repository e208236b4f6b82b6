// A chart with its numbers as a table beneath.
//
//   chart.name = "Beat line";   chart.about = "A tick a stride.";   chart.spec = { … Vega-Lite … };   chart.table = { head: […], rows: [[…], …] };
//
// Or an attribute `src` that answers {"name", "spec", "table"}, or the same object in a <script type="application/json">
// inside. Set anew, it is drawn anew in its place; an open table stays open. The drawing script is fetched on first
// use; it runs no text as code, so the page's content policy holds.

let vega = null;

function drawing() {
  vega ??= import("/static/vega.js").then(() => globalThis.vegaEmbed);
  return vega;
}

class Chart extends HTMLElement {
  #name = "";
  #about = "";
  #spec = null;
  #table = null;
  #view = null;
  #asked = 0;
  #due = false;

  get name() { return this.#name; }
  set name(words) { this.#name = words ?? ""; this.#later(); }
  get about() { return this.#about; }
  set about(words) { this.#about = words ?? ""; this.#later(); }
  get spec() { return this.#spec; }
  set spec(spec) { this.#spec = spec; this.#later(); }
  get table() { return this.#table; }
  set table(table) { this.#table = table; this.#later(); }

  connectedCallback() {
    for (const name of ["name", "about", "spec", "table"]) this.#adopt(name);
    const inside = this.querySelector(':scope > script[type="application/json"]');
    if (inside) this.#take(JSON.parse(inside.textContent));
    else if (this.hasAttribute("src")) this.#fetch(this.getAttribute("src"));
    this.#later();
  }

  disconnectedCallback() {
    this.#view?.finalize();
    this.#view = null;
  }

  // What was set before the element was known to the browser.
  #adopt(name) {
    if (!Object.hasOwn(this, name)) return;
    const value = this[name];
    delete this[name];
    this[name] = value;
  }

  #take({ name, spec, table }) {
    if (name) this.#name = name;
    this.#spec = spec;
    this.#table = table ?? null;
    this.#later();
  }

  async #fetch(address) {
    const answer = await fetch(address).catch(() => null);
    if (answer?.ok) this.#take(await answer.json());
    else this.#say("The chart could not be fetched.");
  }

  #later() {
    if (this.#due || !this.isConnected) return;
    this.#due = true;
    queueMicrotask(() => { this.#due = false; this.#draw(); });
  }

  async #draw() {
    this.#frame();
    this.#rows();
    if (!this.#spec) return;
    const asked = ++this.#asked;
    const place = document.createElement("div");
    try {
      const embed = await drawing();
      const drawn = await embed(place, this.#spec, { actions: false, renderer: "svg", ast: true, defaultStyle: false, tooltip: false });
      if (asked !== this.#asked || !this.isConnected) return drawn.finalize();
      this.#view?.finalize();
      this.#view = drawn;
      const svg = place.querySelector("svg");
      svg.setAttribute("aria-hidden", "true");
      this.querySelector(".picture").replaceChildren(svg);
    } catch (error) {
      console.error(error);
      this.#say("The chart could not be drawn; its numbers are in the table.");
    }
  }

  #frame() {
    if (!this.querySelector(".picture")) {
      const heading = Object.assign(document.createElement("h3"), { className: "chart-name" });
      const picture = Object.assign(document.createElement("div"), { className: "picture" });
      picture.setAttribute("role", "img");
      const about = Object.assign(document.createElement("p"), { className: "chart-about" });
      this.append(heading, about, picture);
    }
    this.querySelector(".chart-name").textContent = this.#name;
    this.querySelector(".chart-name").hidden = !this.#name;
    this.querySelector(".chart-about").textContent = this.#about;
    this.querySelector(".chart-about").hidden = !this.#about;
    this.querySelector(".picture").setAttribute("aria-label", this.#name ? `${this.#name}: a chart, its numbers in the table below` : "A chart");
  }

  #rows() {
    if (!this.#table) return;
    let more = this.querySelector("details");
    if (!more) {
      more = document.createElement("details");
      const scroll = Object.assign(document.createElement("div"), { className: "scroll", tabIndex: 0 });
      scroll.setAttribute("role", "region");
      scroll.append(document.createElement("table"));
      more.append(document.createElement("summary"), scroll);
      this.append(more);
    }
    more.querySelector("summary").textContent = this.#name ? `${this.#name} as numbers` : "As numbers";
    more.querySelector(".scroll").setAttribute("aria-label", more.querySelector("summary").textContent);
    const head = document.createElement("thead");
    head.append(line("th", this.#table.head));
    const body = document.createElement("tbody");
    body.append(...this.#table.rows.map((row) => line("td", row)));
    more.querySelector("table").replaceChildren(head, body);
  }

  #say(words) {
    this.#frame();
    this.querySelector(".picture").textContent = words;
  }
}

function line(kind, cells) {
  const row = document.createElement("tr");
  for (const words of cells) {
    const cell = document.createElement(kind);
    if (kind === "th") cell.scope = "col";
    cell.textContent = words ?? "";
    row.append(cell);
  }
  return row;
}

customElements.define("evenfall-chart", Chart);
