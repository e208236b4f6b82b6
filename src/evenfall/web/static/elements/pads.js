// Four pads in the horse's plan, as seen from above, and a switch between landings and lift-offs.
//
// Events on the element: `act`, detail {name: "mark", limb, other: false}. `pads.event` is "on" or "off".

import { PLAN, eventName, footName, isHind, signPath } from "./feet.js";
import { keyOf } from "./keys.js";

export class Pads extends EventTarget {
  #root;
  #event = "on";

  constructor(root) {
    super();
    this.#root = root;
    this.#root.querySelector("[data-pads]").replaceChildren(...PLAN.map((limb) => this.#pad(limb)));
    for (const input of root.querySelectorAll("input[name=event]")) {
      input.addEventListener("change", () => { this.event = input.value; });
    }
    this.#say();
  }

  get event() { return this.#event; }

  set event(event) {
    this.#event = event;
    for (const input of this.#root.querySelectorAll("input[name=event]")) input.checked = input.value === event;
    this.#say();
  }

  // The foot the rhythm expects stands out by a frame and a word.
  expect(limb) {
    for (const pad of this.#root.querySelectorAll("[data-limb]")) {
      const next = pad.dataset.limb === limb;
      pad.classList.toggle("is-next", next);
      pad.querySelector(".pad-next").hidden = !next;
    }
  }

  // A short flash: the mark was made.
  flash(limb) {
    const pad = this.#root.querySelector(`[data-limb=${limb}]`);
    pad.classList.remove("is-hit");
    void pad.offsetWidth;
    pad.classList.add("is-hit");
  }

  // The foot that is held down, or none.
  held(limb) { for (const pad of this.#root.querySelectorAll("[data-limb]")) pad.classList.toggle("is-held", pad.dataset.limb === limb); }

  relabel() { for (const key of this.#root.querySelectorAll("kbd[data-foot]")) key.textContent = keyOf(key.dataset.foot); }

  #pad(limb) {
    const pad = document.createElement("button");
    pad.type = "button";
    pad.className = "pad";
    pad.dataset.limb = limb;
    pad.style.setProperty("--foot", `var(--${limb.toLowerCase()})`);
    pad.innerHTML = `
      <svg viewBox="-12 -12 24 24" aria-hidden="true"><path d="${signPath(limb, isHind(limb) ? 7.5 : 8)}"/></svg>
      <span class="pad-name"><span class="pad-foot">${footName(limb)}</span> <span class="pad-event"></span></span>
      <span class="pad-next" hidden>next</span> <kbd data-foot="${limb}">${keyOf(limb)}</kbd>`;
    pad.addEventListener("click", () => {
      this.dispatchEvent(new CustomEvent("act", { detail: { name: "mark", limb, other: false } }));
    });
    return pad;
  }

  #say() {
    for (const words of this.#root.querySelectorAll(".pad-event")) words.textContent = eventName(this.#event);
    this.#root.classList.toggle("is-lifting", this.#event === "off");
  }
}
