// The bars of one film's feet over its strides: a bar while a foot stands, the common place of the stride in the middle.
//
// The film slides beneath a cursor that stands still, so that two films' bars, drawn to one scale, can be held against one
// another. Vertical lines are where strides begin.

import { FEET, footCode, footName, signPath } from "./feet.js";

const SVG = "http://www.w3.org/2000/svg";
const ROW = 20;
const LEFT = 40;
const SHOWN = 2; // strides

export class Bars {
  #svg;
  #film;
  #stride;

  constructor(svg, film, stride) {
    this.#svg = svg;
    this.#film = film;
    this.#stride = stride;
    svg.setAttribute("height", FEET.length * ROW + 4);
  }

  show(place) {
    const wide = this.#svg.clientWidth || 300;
    const x = (at) => LEFT + ((at - place) / SHOWN + 0.5) * (wide - LEFT);
    const made = [...this.#begins(place, x), ...FEET.flatMap((limb, row) => this.#row(limb, row, x, wide))];
    const middle = x(place);
    made.push(element("line", { x1: middle, x2: middle, y1: 0, y2: FEET.length * ROW + 4, class: "step-cursor" }));
    this.#svg.replaceChildren(...made);
  }

  #begins(place, x) {
    const first = Math.ceil(place - SHOWN / 2);
    return [...Array(SHOWN + 1).keys()].map((k) => x(first + k)).filter((at) => at >= LEFT)
      .map((at) => element("line", { x1: at, x2: at, y1: 0, y2: FEET.length * ROW, class: "step-begin" }));
  }

  #row(limb, row, x, wide) {
    const y = row * ROW + ROW / 2;
    const colour = `var(--${limb.toLowerCase()})`;
    const name = element("text", { x: 4, y: y + 5, class: "step-name" });
    name.textContent = footCode(limb);
    name.append(element("title", {}, footName(limb)));
    const bars = this.#film.stands[limb].flatMap(([on, off]) => {
      const from = Math.max(x(this.#stride.place(on)), LEFT);
      const to = Math.min(x(this.#stride.place(off)), wide);
      return to <= from ? [] : [element("rect", { x: from, y: y - 6, width: to - from, height: 12, fill: colour, class: "step-stand" })];
    });
    const sign = element("path", { d: signPath(limb, 5), transform: `translate(${LEFT - 8} ${y})`, fill: colour });
    return [element("line", { x1: LEFT, x2: wide, y1: y, y2: y, class: "step-line" }), ...bars, sign, name];
  }
}

function element(name, attributes, words) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (words) made.textContent = words;
  return made;
}
