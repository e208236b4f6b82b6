// Leads through the machine's doubtful marks, one at a time: accept it, reject it, or step to where it belongs and accept.
//
//   const review = new Review(root, { stepper, marks });
//   review.begin(); review.accept(); review.reject(); review.skip(); review.leave();
//
// After the last one the box stays, so that nothing moves under the finger, until it is closed or a foot is marked.
//
// Events: `select` {id}, the mark that is shown now, or null; `turned` {asks}, whether the box is there from now on.

import { footName, eventName } from "./feet.js";

export class Review extends EventTarget {
  #root;
  #stepper;
  #marks;
  #todo = [];
  #at = -1;
  #ended = false;

  constructor(root, { stepper, marks }) {
    super();
    this.#root = root;
    this.#stepper = stepper;
    this.#marks = marks;
    for (const button of root.querySelectorAll("[data-review]")) {
      button.addEventListener("click", () => this[button.dataset.review]());
    }
    marks.addEventListener("change", () => this.#say());
    stepper.addEventListener("shown", () => this.#say());
    this.#say();
  }

  get active() { return this.#at >= 0; }
  get mark() { return this.#marks.find(this.#todo[this.#at]); }

  begin() {
    this.#ended = false;
    this.#todo = [...this.#marks.check];
    this.#at = -1;
    if (this.#todo.length) this.#go(1);
  }

  // At the picture on screen, if that was stepped to; else where the machine put it.
  accept() {
    const mark = this.mark;
    if (!mark) return;
    const moved = this.#stepper.index !== this.#stepper.nearest(mark.time_s);
    const time_s = moved ? this.#stepper.time_s : mark.time_s;
    this.#marks.add({ limb: mark.limb, event: mark.event, time_s, stands_for: mark.id });
    this.#go(1);
  }

  reject() {
    const mark = this.mark;
    if (!mark) return;
    this.#marks.remove(mark.id);
    this.#go(1);
  }

  skip() { if (this.active) this.#go(1); }

  leave() {
    this.#at = -1;
    this.#ended = false;
    this.#select(null);
    this.#say();
  }

  close() { this.leave(); }

  #go(by) {
    do this.#at += by; while (this.#at < this.#todo.length && !this.mark);
    if (this.#at >= this.#todo.length) { this.leave(); this.#ended = true; this.#say(); return; }
    this.#stepper.show(this.#stepper.nearest(this.mark.time_s));
    this.#select(this.mark.id);
    this.#say();
  }

  #say() {
    const left = this.#marks.check.length;
    const { mark } = this;
    const asks = left > 0 || Boolean(mark) || this.#ended;
    if (this.#root.hidden === asks) this.dispatchEvent(new CustomEvent("turned", { detail: { asks } }));
    this.#root.hidden = !asks;
    this.#part("idle").hidden = Boolean(mark);
    this.#part("busy").hidden = !mark;
    this.#part("count").textContent = left ? `${left} to check` : "All checked";
    this.#root.querySelector("[data-review=begin]").hidden = left === 0;
    this.#root.querySelector("[data-review=close]").hidden = left > 0;
    if (!mark) return;
    const sure = mark.source.includes("inferred") ? "expected, not seen" : `sureness ${Math.round(100 * mark.confidence)} %`;
    this.#part("place").textContent = `${this.#at + 1} of ${this.#todo.length}`;
    this.#part("what").textContent = `${footName(mark.limb)} ${eventName(mark.event)}, ${sure}`;
    const moved = this.#stepper.index - this.#stepper.nearest(mark.time_s);
    const pictures = Math.abs(moved) === 1 ? "1 picture" : `${Math.abs(moved)} pictures`;
    this.#part("take").textContent = moved ? `Accept here, ${pictures} ${moved > 0 ? "later" : "earlier"}` : "Accept";
  }

  #part(name) { return this.#root.querySelector(`[data-part=${name}]`); }

  #select(id) { this.dispatchEvent(new CustomEvent("select", { detail: { id } })); }
}
