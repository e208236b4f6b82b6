// A film read blind: stepping, four pads and the marks over time, and nothing that tells whose horse it is.

import { eventName, footName, inSeconds, sayMark } from "./feet.js";
import { listen } from "./keys.js";
import { Marks } from "./marks.js";
import { Pads } from "./pads.js";
import { Stepper } from "./stepper.js";
import { Timeline } from "./timeline.js";

const RATE = 0.25;

class Blind {
  #page;
  #selected = null;

  constructor(page, times) {
    const at = (part) => page.querySelector(`[data-part=${part}]`);
    const { clip, reading } = page.dataset;
    const video = page.querySelector("video");
    video.src = `/api/clips/${clip}/film`;
    this.#page = page;
    this.stepper = new Stepper(video, times.times_s, times.end_s);
    this.marks = new Marks(`/api/readings/${reading}/marks`, { key: `blind-${reading}` });
    this.pads = new Pads(at("marking"));
    this.timeline = new Timeline(at("timeline"), {
      start_s: times.times_s[0], end_s: times.end_s, playback_factor: times.playback_factor,
    });
    this.#wire();
  }

  async begin() {
    await this.marks.load();
    await this.stepper.show(0);
    this.#show();
  }

  #wire() {
    const act = (event) => this.#act(event.detail);
    for (const part of [this.pads, this.timeline, this.#page]) part.addEventListener("act", act);
    listen(this.#page);
    this.timeline.addEventListener("peek", (event) => this.stepper.show(this.stepper.nearest(event.detail.time_s)));
    this.stepper.addEventListener("shown", () => this.#show());
    this.marks.addEventListener("change", () => this.#show());
    this.marks.addEventListener("saved", () => this.#show());
    this.marks.addEventListener("refused", (event) => this.#say(`Not saved: ${event.detail.message}`));
    for (const button of this.#page.querySelectorAll("[data-act]")) {
      button.addEventListener("click", () => this.#act({ name: button.dataset.act, by: Number(button.dataset.by) }));
    }
  }

  #act(act) {
    const does = {
      step: () => { this.stepper.pause(); this.stepper.step(act.by); },
      to: () => this.stepper.show("index" in act ? Math.min(act.index, this.stepper.count) : this.stepper.nearest(act.time_s)),
      play: () => (this.stepper.playing ? this.stepper.pause() : this.stepper.play(RATE)),
      mark: () => this.#mark(act.limb, act.other),
      event: () => { this.pads.event = other(this.pads.event); },
      select: () => { this.#selected = act.id; this.#show(); },
      move: () => { this.marks.move(act.id, this.stepper.timeOf(this.stepper.nearest(act.time_s))); },
      remove: () => this.#remove(),
      undo: () => this.marks.undo(),
      redo: () => this.marks.redo(),
    }[act.name];
    does?.();
  }

  #mark(limb, turned) {
    const event = turned ? other(this.pads.event) : this.pads.event;
    const { time_s } = this.stepper;
    this.#selected = this.marks.add({ limb, event, time_s });
    this.pads.flash(limb);
    this.#say(`${footName(limb)} ${eventName(event)} at ${inSeconds(time_s)}`);
  }

  #remove() {
    const mark = this.marks.find(this.#selected);
    if (!mark) { this.#say("Choose a mark first: press it on the line of time."); return; }
    this.marks.remove(mark.id);
    this.#selected = null;
    this.#say(`Deleted: ${sayMark(mark)}`);
  }

  #show() {
    const at = (name) => this.#page.querySelector(name);
    this.timeline.show({ marks: this.marks.all, check: new Set(), selected: this.#selected, time_s: this.stepper.time_s, next: null });
    at("[data-part=picture]").textContent = `Picture ${this.stepper.index + 1} of ${this.stepper.count}`;
    at("[data-part=time]").textContent = inSeconds(this.stepper.time_s);
    at("[data-part=play]").textContent = this.stepper.playing ? "Pause" : "Play slowly";
    at("[data-part=saved]").textContent = this.marks.waiting ? `${this.marks.waiting} not saved yet` : "Saved";
    at("[data-act=undo]").disabled = !this.marks.canUndo;
    at("[data-act=redo]").disabled = !this.marks.canRedo;
    at("[data-act=remove]").disabled = !this.marks.find(this.#selected);
  }

  #say(words) { this.#page.querySelector("[data-part=live]").textContent = words; }
}

function other(event) { return event === "on" ? "off" : "on"; }

const page = document.querySelector("[data-blind-page]");
const answer = await fetch(`/api/clips/${page.dataset.clip}/times`);
if (answer.ok) {
  const blind = new Blind(page, await answer.json());
  page.querySelector("[data-part=waiting]").hidden = true;
  page.querySelector("[data-part=film]").hidden = false;
  await blind.begin();
  page.dataset.ready = "";
} else {
  page.querySelector("[data-part=says]").textContent = "The film could not be opened. It may still be being made ready.";
}
