// Measured by clicks on the film: head line, hoof height, and the withers as a scale. The server does the sums.
//
//   new Measure(root, overlay, { url, stage, picture: () => ({index, time_s}) });
//
// Event `begin` {near}: clicks will be set on the picture as it lies, `near` where the feet are enough of it.
// With the keyboard a cross is moved by the arrow keys (Shift: ten pixels) and set with Enter; Escape leaves.

const SVG = "http://www.w3.org/2000/svg";

const KINDS = {
  head: { kind: "head", points: ["poll", "nose"], says: { poll: "Click the poll, between the ears.", nose: "Now the end of the nose." } },
  hoof: { kind: "hoof", points: ["ground", "hoof"], says: { ground: "Click the ground right below the hoof.", hoof: "Now the toe of the hoof." } },
  scale: { kind: "hoof", points: ["withers", "ground_below"], says: { withers: "Click the withers.", ground_below: "Now the ground right below them." } },
};

export class Measure extends EventTarget {
  #root;
  #overlay;
  #url;
  #stage;
  #picture;
  #mode = null;
  #points = {};
  #cross = null;
  #data = { measures: [] };

  constructor(root, overlay, { url, stage, picture }) {
    super();
    this.#root = root;
    this.#overlay = overlay;
    this.#url = url;
    this.#stage = stage;
    this.#picture = picture;
    for (const button of root.querySelectorAll("[data-measure]")) {
      button.addEventListener("click", () => this.#begin(button.dataset.measure));
    }
    overlay.addEventListener("click", (event) => { if (this.#mode) this.#set(this.#place(event)); });
    overlay.addEventListener("keydown", (event) => this.#key(event));
    root.addEventListener("toggle", () => { if (root.open) this.load(); else this.leave(); });
  }

  get active() { return this.#mode !== null; }

  async load() {
    const answer = await fetch(this.#url);
    if (answer.ok) this.#took(await answer.json());
  }

  leave() {
    this.#mode = null;
    this.#points = {};
    this.#cross = null;
    delete this.#stage.dataset.measuring;
    this.#press(null);
    this.#overlay.removeAttribute("tabindex");
    this.#say("");
    this.#draw();
  }

  #begin(name) {
    if (this.#mode === KINDS[name]) { this.leave(); return; }
    this.#mode = KINDS[name];
    this.#points = {};
    this.dispatchEvent(new CustomEvent("begin", { detail: { near: name === "hoof" } }));
    this.#press(name);
    const { width, height } = this.#overlay.viewBox.baseVal;
    this.#cross = [width / 2, height / 2];
    this.#stage.dataset.measuring = "";
    this.#overlay.setAttribute("tabindex", "0");
    this.#overlay.focus({ preventScroll: true });
    this.#stage.scrollIntoView({ block: "nearest" });
    this.#ask();
  }

  #press(name) {
    for (const button of this.#root.querySelectorAll("[data-measure]")) button.setAttribute("aria-pressed", String(button.dataset.measure === name));
  }

  get #wanted() { return this.#mode?.points.find((name) => !(name in this.#points)); }

  #ask() {
    this.#say(this.#mode.says[this.#wanted]);
    this.#draw();
  }

  #set(place) {
    this.#points[this.#wanted] = place;
    this.#cross = place;
    if (this.#wanted) this.#ask(); else this.#send();
  }

  async #send() {
    const { kind } = this.#mode;
    const { index, time_s } = this.#picture();
    const points = { ...this.#points, picture: index, time_s };
    const answer = await fetch(this.#url, {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ kind, points }),
    }).catch(() => null);
    this.#points = {};
    if (answer?.ok) { this.#took(await answer.json()); this.#say(`Kept. ${this.#mode?.says[this.#wanted] ?? ""} Step to another picture first.`); return; }
    const told = (await answer?.json().catch(() => null))?.error?.message;
    this.#say(told ?? "Not saved: the barn's computer does not answer. Click again.");
  }

  async #remove(id) {
    const answer = await fetch(`${this.#url}/${id}`, { method: "DELETE" }).catch(() => null);
    if (answer?.ok) this.#took(await answer.json()); else this.#say("Not deleted: the barn's computer does not answer.");
  }

  #took(data) {
    this.#data = data;
    this.#root.querySelector("[data-part=sums]").replaceChildren(
      ...[data.head, data.hoof].filter((sum) => sum.n).map((sum) => line("p", sum.says)),
    );
    this.#root.querySelector("[data-part=kept]").replaceChildren(...data.measures.map((each) => this.#row(each)));
    this.#draw();
  }

  #row(each) {
    const row = document.createElement("li");
    const name = { poll: "head line", ground: "hoof", withers: "scale" }[Object.keys(KINDS).map((k) => KINDS[k].points[0]).find((p) => p in each.points)];
    const drop = line("button", "Delete");
    drop.type = "button";
    drop.setAttribute("aria-label", `Delete ${name} of picture ${each.points.picture + 1}`);
    drop.addEventListener("click", () => this.#remove(each.id));
    row.append(line("span", `Picture ${each.points.picture + 1}: ${name === "hoof" ? "hoof " : name === "scale" ? "" : "head line "}${each.says}`), drop);
    return row;
  }

  #place(event) {
    const box = this.#overlay.getBoundingClientRect(); // as it is seen, zoomed or not
    const { width, height } = this.#overlay.viewBox.baseVal;
    const inside = (share, whole) => Math.round(Math.min(Math.max(share, 0), 1) * whole * 10) / 10;
    return [inside((event.clientX - box.left) / box.width, width), inside((event.clientY - box.top) / box.height, height)];
  }

  #key(event) {
    if (!this.#mode || event.altKey) return;
    const by = event.shiftKey ? 10 : 1;
    const go = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] }[event.key];
    if (go) this.#cross = [this.#cross[0] + go[0], this.#cross[1] + go[1]];
    else if (event.key === "Enter") this.#set(this.#cross);
    else if (event.key === "Escape") this.leave();
    else return;
    event.preventDefault();
    event.stopPropagation();
    this.#draw();
  }

  // What was clicked in the picture on screen, the points so far, and the cross.
  #draw() {
    const { index } = this.#picture();
    const kept = this.#root.open ? this.#data.measures.filter((each) => each.points.picture === index) : [];
    const lines = kept.flatMap((each) => Object.values(KINDS).filter((kind) => kind.points.every((name) => name in each.points)).map((kind) => kind.points.map((name) => each.points[name])));
    const shown = lines.map(([from, to]) => drawn("line", { x1: from[0], y1: from[1], x2: to[0], y2: to[1], class: "measured" }));
    const dots = Object.values(this.#points).map(([x, y]) => drawn("circle", { cx: x, cy: y, r: 5, class: "measure-dot" }));
    const size = this.#overlay.viewBox.baseVal.width / 60;
    const cross = this.#cross && this.#mode ? [drawn("path", { d: `M${this.#cross[0] - size} ${this.#cross[1]}h${2 * size}M${this.#cross[0]} ${this.#cross[1] - size}v${2 * size}`, class: "measure-cross" })] : [];
    this.#overlay.replaceChildren(...shown, ...dots, ...cross);
  }

  redraw() { this.#draw(); }

  // Beside the buttons, and on the film, where the eyes are.
  #say(words) {
    this.#root.querySelector("[data-part=says]").textContent = words;
    const hint = this.#stage.querySelector("[data-part=hint]");
    hint.textContent = words;
    hint.hidden = words === "";
  }
}

function line(name, words) {
  const element = document.createElement(name);
  element.textContent = words;
  return element;
}

function drawn(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}
