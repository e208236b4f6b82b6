// The marks over time: a row a foot, a window of a few strides around the picture on screen, the whole film below.
//
// Landings are the foot's sign, filled; lift-offs the same, hollow. A machine's mark has a dashed edge, and pales as its
// sureness falls. Marks can be dragged; every drag ends on a picture. Events: `act` with detail
// {name: "to", time_s} | {name: "select", id} | {name: "move", id, time_s}; `peek` {time_s} while dragging.

import { FEET, footCode, isHind, sayMark, signPath } from "./feet.js";

const SVG = "http://www.w3.org/2000/svg";
const ROW = 38;
const LEFT = 42;
const GAP = 14; // a mark on the first or last picture clears the edge
const AXIS = 22;
const LEAST_SPAN_S = 1.2;
const PX_A_SECOND = 260;

export class Timeline extends EventTarget {
  #root;
  #svg;
  #whole;
  #span = [0, 1];
  #film = [0, 1];
  #factor = 1;
  #dragged = null;
  #state = { marks: [], check: new Set(), selected: null, time_s: 0, next: null };

  constructor(root, { start_s, end_s, playback_factor = 1 }) {
    super();
    this.#root = root;
    this.#film = [start_s, end_s];
    this.#factor = playback_factor;
    this.#svg = made("svg", { class: "timeline-rows", role: "group", "aria-label": "Marks on the film, a row for each foot" });
    this.#whole = made("svg", { class: "timeline-whole", "aria-hidden": "true" });
    root.replaceChildren(this.#svg, this.#whole);
    this.#svg.addEventListener("pointerdown", (event) => this.#pressed(event, this.#svg));
    this.#whole.addEventListener("pointerdown", (event) => this.#pressed(event, this.#whole));
    new ResizeObserver(() => this.show({})).observe(root);
  }

  show(change) {
    Object.assign(this.#state, change);
    this.#window();
    const focused = document.activeElement?.dataset?.mark;
    this.#svg.setAttribute("height", FEET.length * ROW + AXIS);
    this.#svg.replaceChildren(...this.#rows(), ...this.#axis(), ...this.#marks(), ...this.#ghost(), this.#head());
    if (focused) this.#svg.querySelector(`[data-mark="${focused}"]`)?.focus({ preventScroll: true });
    this.#overview();
  }

  get #width() { return this.#root.clientWidth || 300; }
  get #reach() { return this.#width - LEFT - 2 * GAP; }

  // The window follows the picture on screen and stays inside the film; while a mark is dragged it stands still.
  #window() {
    if (this.#dragged) return;
    const [start, end] = this.#film;
    const span = Math.min(Math.max((this.#width - LEFT) / PX_A_SECOND, LEAST_SPAN_S) * this.#factor, end - start);
    const from = Math.min(Math.max(this.#state.time_s - span / 2, start), end - span);
    this.#span = [from, from + span];
  }

  #x(time_s) {
    const [from, to] = this.#span;
    return LEFT + GAP + ((time_s - from) / (to - from)) * this.#reach;
  }

  #rows() {
    return FEET.flatMap((limb, row) => {
      const y = row * ROW + ROW / 2;
      const sign = made("path", { d: signPath(limb, 5), transform: `translate(${LEFT - 8} ${y})`, fill: `var(--${limb.toLowerCase()})`, class: "row-sign" });
      const name = made("text", { x: 5, y: y + 4, class: "row-name" });
      name.textContent = footCode(limb);
      return [made("line", { x1: LEFT, x2: this.#width, y1: y, y2: y, class: "row-line" }), ...this.#stands(limb, y), sign, name];
    });
  }

  // A bar from each landing to the lift-off after it.
  #stands(limb, y) {
    const marks = this.#state.marks.filter((mark) => mark.limb === limb && !mark.rejected);
    return marks.flatMap((mark, place) => {
      const after = marks[place + 1];
      if (mark.event !== "on" || after?.event !== "off" || after.time_s < this.#span[0] || mark.time_s > this.#span[1]) return [];
      const x = Math.max(this.#x(mark.time_s), LEFT);
      return [made("rect", { x, y: y - 4, width: Math.max(this.#x(after.time_s) - x, 1), height: 8, class: "stand", fill: `var(--${limb.toLowerCase()})` })];
    });
  }

  #axis() {
    const [from, to] = this.#span;
    const step = [0.1, 0.2, 0.5, 1, 2, 5, 10].find((each) => (to - from) / each <= this.#width / 70) ?? 20;
    const y = FEET.length * ROW;
    const out = [];
    for (let at = Math.ceil(from / step) * step; at <= to; at += step) {
      const text = made("text", { x: this.#x(at), y: y + 15, class: "axis-word" });
      text.textContent = `${at.toFixed(step < 1 ? 1 : 0)} s`;
      out.push(made("line", { x1: this.#x(at), x2: this.#x(at), y1: 0, y2: y, class: "axis-line" }), text);
    }
    return out;
  }

  #marks() {
    const { check, selected } = this.#state;
    const marks = this.#state.marks.map((mark) => (mark.id === this.#dragged?.id ? { ...mark, ...this.#dragged } : mark));
    const shown = marks.filter((mark) => mark.time_s >= this.#span[0] && mark.time_s <= this.#span[1]);
    const first = shown.some((mark) => mark.id === selected) ? selected : shown[0]?.id;
    return shown.map((mark) => {
      const chosen = mark.id === selected;
      const names = ["mark", `is-${mark.by}`, `does-${mark.event}`];
      if (check.has(mark.id)) names.push("to-check");
      if (chosen) names.push("is-selected");
      if (mark.rejected) names.push("is-rejected");
      const group = made("g", {
        class: names.join(" "), "data-mark": mark.id, tabindex: mark.id === first ? 0 : -1, role: "button",
        "aria-label": sayMark(mark, { check: check.has(mark.id) }), "aria-pressed": String(chosen),
        transform: `translate(${this.#x(mark.time_s)} ${FEET.indexOf(mark.limb) * ROW + ROW / 2})`,
      });
      group.style.setProperty("--foot", `var(--${mark.limb.toLowerCase()})`);
      group.style.setProperty("--sure", mark.by === "person" ? 1 : 0.35 + 0.65 * mark.confidence);
      group.append(made("rect", { x: -15, y: -ROW / 2, width: 30, height: ROW, class: "mark-reach" }));
      group.append(made("path", { d: signPath(mark.limb, isHind(mark.limb) ? 7.5 : 8), class: "mark-sign" }));
      if (check.has(mark.id)) {
        const ask = made("text", { y: 4, class: "mark-ask" });
        ask.textContent = "?";
        group.append(ask);
      }
      if (mark.rejected) group.append(made("path", { d: "M-9 -9L9 9M9 -9L-9 9", class: "mark-cross" }));
      group.addEventListener("keydown", (event) => {
        if (event.key === "Enter" || event.key === " ") { event.preventDefault(); event.stopPropagation(); this.#act({ name: "select", id: mark.id }); }
      });
      return group;
    });
  }

  #ghost() {
    const { next } = this.#state;
    if (!next || next.time_s === null || next.time_s < this.#span[0] || next.time_s > this.#span[1]) return [];
    const at = `translate(${this.#x(next.time_s)} ${FEET.indexOf(next.limb) * ROW + ROW / 2})`;
    return [made("path", { d: signPath(next.limb, 10), transform: at, class: "mark-expected" })];
  }

  #head() {
    const x = this.#x(this.#state.time_s);
    return made("line", { x1: x, x2: x, y1: 0, y2: FEET.length * ROW + 4, class: "play-head" });
  }

  #overview() {
    const [start, end] = this.#film;
    const x = (time_s) => ((time_s - start) / (end - start)) * this.#width;
    const ticks = this.#state.marks.filter((mark) => mark.event === "on" && !mark.rejected).map((mark) => {
      const y = 3 + FEET.indexOf(mark.limb) * 6;
      return made("line", { x1: x(mark.time_s), x2: x(mark.time_s), y1: y, y2: y + 5, stroke: `var(--${mark.limb.toLowerCase()})`, class: "whole-tick" });
    });
    const asks = this.#state.marks.filter((mark) => this.#state.check.has(mark.id))
      .map((mark) => made("circle", { cx: x(mark.time_s), cy: 31, r: 2.5, class: "whole-ask" }));
    const box = made("rect", { x: x(this.#span[0]), y: 0.5, width: Math.max(x(this.#span[1]) - x(this.#span[0]), 2), height: 33, class: "whole-window" });
    const head = made("line", { x1: x(this.#state.time_s), x2: x(this.#state.time_s), y1: 0, y2: 34, class: "play-head" });
    this.#whole.replaceChildren(box, ...ticks, ...asks, head);
  }

  #pressed(event, svg) {
    if (event.button !== 0) return;
    const group = event.target.closest("[data-mark]");
    if (group) this.#drag(event, group);
    else this.#scrub(event, svg);
  }

  #scrub(event, svg) {
    const box = svg.getBoundingClientRect();
    const [start, end] = this.#film;
    const fixed = [...this.#span];
    const at = (moved) => {
      const x = moved.clientX - box.left;
      if (svg === this.#whole) return start + (x / box.width) * (end - start);
      return fixed[0] + ((x - LEFT - GAP) / this.#reach) * (fixed[1] - fixed[0]);
    };
    this.#act({ name: "to", time_s: at(event) });
    if (svg === this.#whole) this.#hold(event, (moved) => this.#act({ name: "to", time_s: at(moved) }), () => {});
  }

  // A press selects; past a few pixels it drags, and the picture under the mark is shown all the while.
  #drag(event, group) {
    const { mark: id } = group.dataset;
    const box = this.#svg.getBoundingClientRect();
    const [from, to] = this.#span;
    const moved = (at) => {
      if (!this.#dragged && Math.abs(at.clientX - event.clientX) < 5) return;
      const share = (at.clientX - box.left - LEFT - GAP) / this.#reach;
      const time_s = from + Math.min(Math.max(share, 0), 1) * (to - from);
      this.#dragged = { id, time_s };
      this.dispatchEvent(new CustomEvent("peek", { detail: { time_s } }));
    };
    this.#act({ name: "select", id, stay: true });
    this.#hold(event, moved, () => {
      const time_s = this.#dragged?.time_s;
      this.#dragged = null;
      this.#act(time_s === undefined ? { name: "select", id } : { name: "move", id, time_s });
    });
  }

  #hold(event, moved, ended) {
    event.preventDefault();
    const stop = new AbortController();
    const end = () => { stop.abort(); ended(); };
    addEventListener("pointermove", moved, { signal: stop.signal });
    addEventListener("pointerup", end, { signal: stop.signal });
    addEventListener("pointercancel", () => { stop.abort(); this.#dragged = null; }, { signal: stop.signal });
  }

  #act(detail) { this.dispatchEvent(new CustomEvent("act", { detail })); }
}

function made(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) {
    if (String(value).startsWith("var(")) element.style.setProperty(key, value); // CSS only, not an attribute's
    else element.setAttribute(key, value);
  }
  return element;
}
