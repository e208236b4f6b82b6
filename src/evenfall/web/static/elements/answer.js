// The answer beside the film: the sentence, numbers with intervals, charts with their tables. It follows the marks.
//
//   const answer = new Answer(root, "/api/clips/3");   answer.later();   answer.ground();
//
// Asked for a quarter of a second after the last change, the words first, then the charts; an answer that another
// question has overtaken is dropped.
// Event `read`, detail the answer: the beat in it is for the ear.

import { tied, tiedRows } from "./words.js";

const WAIT_MS = 250;
const FIRST = 4;
const NAMES = {
  beat_line: "Beat line", stride_clock: "Stride clock", footfall_bars: "Footfall bars",
  track_map: "Track map", space_time: "Ground and time",
};

export class Answer extends EventTarget {
  #root;
  #url;
  #timer = 0;
  #asked = 0;
  #held = false;

  constructor(root, url) {
    super();
    this.#root = root;
    this.#url = url;
    matchMedia("(max-width: 640px)").addEventListener("change", () => { this.later(); this.ground(); });
  }

  later() {
    clearTimeout(this.#timer);
    this.#root.setAttribute("aria-busy", "true");
    this.#timer = setTimeout(() => this.now(), WAIT_MS);
  }

  async now() {
    const asked = ++this.#asked;
    const words = await this.#get("reading", { drawn: "no" });
    if (asked !== this.#asked || !words) return;
    this.#words(words);
    this.dispatchEvent(new CustomEvent("read", { detail: words }));
    if (this.#held) return;
    const data = await this.#get("reading");
    if (asked !== this.#asked || !data) return;
    this.#root.setAttribute("aria-busy", "false");
    this.#charts("charts", data);
  }

  // While the film plays the charts wait: drawing them would make it stumble, and a mark fall on the wrong picture.
  hold(playing) {
    if (this.#held && !playing && this.#root.getAttribute("aria-busy") === "true") this.later();
    this.#held = playing;
  }

  // What the film itself showed; it changes only when the machine reads it again.
  async ground() {
    const data = await this.#get("ground");
    if (!data) return;
    const more = this.#part("ground-more");
    const says = this.#part("ground-says");
    says.textContent = data.to_come;
    says.hidden = !data.to_come;
    more.hidden = Object.keys(data.charts).length === 0 && !data.to_come;
    more.open = !narrow() || Boolean(data.to_come);
    this.#charts("ground", data);
  }

  async #get(what, more = {}) {
    const asks = new URLSearchParams({ narrow: narrow() ? "yes" : "no", ...more });
    try {
      const answer = await fetch(`${this.#url}/${what}?${asks}`);
      if (answer.ok) return await answer.json();
      this.#part("sentence").textContent = (await answer.json()).error?.message ?? "The answer could not be fetched.";
    } catch {
      this.#part("sentence").textContent = "The barn's computer does not answer. What you mark is kept here and sent later.";
    }
    return null;
  }

  #words(data) {
    this.#part("headline").textContent = tied(data.headline);
    this.#part("sentence").textContent = tied(data.sentence);
    this.#part("more").replaceChildren(...data.sentences.map((words) => made("p", words)));
    this.#part("cautions").replaceChildren(...data.cautions.map((words) => made("li", words)));
    this.#part("first-numbers").replaceChildren(...data.numbers.slice(0, FIRST).map(row));
    this.#part("numbers").replaceChildren(...data.numbers.slice(FIRST).map(row));
    this.#root.classList.toggle("is-empty", data.numbers.length === 0);
  }

  #charts(part, data) {
    const place = this.#part(part);
    for (const old of [...place.children]) if (!(old.dataset.chart in data.charts)) old.remove();
    for (const [name, spec] of Object.entries(data.charts)) {
      let chart = place.querySelector(`[data-chart=${name}]`);
      if (!chart) {
        chart = document.createElement("evenfall-chart");
        chart.dataset.chart = name;
        place.append(chart);
      }
      const [about, drawing] = apart(spec);
      chart.name = NAMES[name];
      chart.about = tied(about);
      chart.table = tiedRows(data.tables[name]);
      chart.spec = drawing;
    }
  }

  #part(name) { return this.#root.querySelector(`[data-part=${name}]`); }
}

// A drawing's own title, "beat line: a tick a stride", repeats the heading above it. What it explains stands as words,
// which wrap where a title would make the drawing wider than a phone.
function apart({ title, ...drawing }) {
  const words = typeof title === "string" ? title : title?.text ?? "";
  const told = words.slice(words.indexOf(": ") < 0 ? 0 : words.indexOf(": ") + 2);
  return [told && `${told[0].toUpperCase()}${told.slice(1)}.`, drawing];
}

function narrow() { return matchMedia("(max-width: 640px)").matches; }

function row(each) {
  const line = document.createElement("tr");
  const name = made("th", each.name);
  name.scope = "row";
  line.append(name, made("td", each.value), made("td", each.interval));
  return line;
}

function made(name, words) {
  const element = document.createElement(name);
  element.textContent = tied(words);
  return element;
}
