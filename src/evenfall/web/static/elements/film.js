// The film page: what the feet are doing. This file only brings the parts together; each does one thing.
//
// A page may do without the parts answer, review, list, hearing, measure and keys, and keep its marks elsewhere
// (`data-marks`), as marking blind does.

import { Answer } from "./answer.js";
import { eventName, footName, inSeconds, sayMark } from "./feet.js";
import { Hearing } from "./hearing.js";
import { Holding } from "./holding.js";
import { listen } from "./keys.js";
import { KeySettings } from "./key-settings.js";
import { MarkList } from "./mark-list.js";
import { Marks } from "./marks.js";
import { Measure } from "./measure.js";
import { Pads } from "./pads.js";
import { Review } from "./review.js";
import { View } from "./steady.js";
import { Stepper } from "./stepper.js";
import { Timeline } from "./timeline.js";
import { filmReady, followReading, told } from "./waiting.js";

const NEAR_S = 0.12;
const NEARER = 1.5;

class Film {
  #page;
  #url;
  #rate = 0.25;
  #selected = null;
  #lastMarked = -1;
  #revision = -1;
  #paths;

  constructor(page, clip, times) {
    const at = (name) => page.querySelector(name);
    const part = (name, make) => { const root = at(`[data-part=${name}]`); return root ? make(root) : null; };
    this.#page = page;
    this.#url = `/api/clips/${clip.id}`;
    this.video = at("video");
    this.video.src = clip.film;
    at(".overlay").setAttribute("viewBox", `0 0 ${clip.width} ${clip.height}`);
    at(".stage").style.setProperty("--film-wide", clip.width);
    at(".stage").style.setProperty("--film-high", clip.height);
    this.factor = times.playback_factor;
    this.stepper = new Stepper(this.video, times.times_s, times.end_s);
    const marks = page.dataset.marks ?? `${this.#url}/marks`;
    this.marks = new Marks(marks, { key: marks });
    this.pads = new Pads(at("[data-part=marking]"));
    this.holding = new Holding(at("[data-pads]"), this.stepper);
    this.timeline = new Timeline(at("[data-part=timeline]"), {
      start_s: times.times_s[0], end_s: times.end_s, playback_factor: this.factor,
    });
    this.list = part("list", (root) => new MarkList(root));
    this.review = part("review", (root) => new Review(root, this));
    this.answer = part("answer", (root) => new Answer(root, this.#url));
    this.view = new View(at(".stage"), at(".plane"), this.video, clip.width);
    this.measure = part("measure", (root) => new Measure(root, at(".overlay"), {
      url: `${this.#url}/measures`, stage: at(".stage"),
      picture: () => ({ index: this.stepper.index, time_s: this.stepper.time_s }),
    }));
    this.hearing = part("hearing", (root) => new Hearing(root, this.video));
    part("keys", (root) => new KeySettings(root, () => this.pads.relabel()));
    this.#wire();
  }

  async begin() {
    await this.marks.load();
    await this.stepper.show(this.stepper.nearest(this.marks.all[0]?.time_s ?? 0));
    this.answer?.ground();
  }

  async readAnew() {
    await this.marks.load();
    this.answer?.later();
    this.answer?.ground();
  }

  #wire() {
    const act = (event) => this.#act(event.detail);
    for (const part of [this.pads, this.timeline, this.list]) part?.addEventListener("act", act);
    this.#page.addEventListener("act", act);
    listen(this.#page, this.holding);
    this.holding.addEventListener("mark", ({ detail }) => this.#mark(detail.limb, detail.turned, detail.index));
    this.holding.addEventListener("held", ({ detail }) => this.#held(detail));
    this.holding.addEventListener("freed", ({ detail }) => this.#freed(detail));
    this.timeline.addEventListener("peek", (event) => this.stepper.show(this.stepper.nearest(event.detail.time_s)));
    this.review?.addEventListener("turned", ({ detail }) => this.#ahead(detail.asks));
    this.review?.addEventListener("select", (event) => { this.#selected = event.detail.id; this.#show(); });
    this.measure?.addEventListener("begin", ({ detail }) => { this.#steadied(null); if (!detail.near) this.view.all(); });
    this.stepper.addEventListener("shown", (event) => this.#shown(event.detail));
    this.marks.addEventListener("change", () => this.#changed());
    this.marks.addEventListener("saved", () => this.#saved());
    this.marks.addEventListener("refused", (event) => this.#say(`Not saved: ${event.detail.message}`));
    this.answer?.addEventListener("read", (event) => this.hearing?.beat(event.detail.beat));
    for (const button of this.#page.querySelectorAll("[data-act]")) this.#button(button);
    for (const radio of this.#page.querySelectorAll("input[name=speed]")) {
      radio.addEventListener("change", () => this.#speed(Number(radio.value)));
    }
    this.#page.querySelector(".stage").addEventListener("view", ({ detail }) => {
      this.#page.querySelector("[data-act=zoom]")?.setAttribute("aria-pressed", String(detail.scale > 1));
    });
  }

  // A press does it once; held, a step runs on.
  #button(button) {
    const { act: name, by } = button.dataset;
    const does = () => this.#act({ name, by: Number(by) });
    button.addEventListener("click", (event) => { if (!held) does(); if (event.detail) button.blur(); held = false; });
    let held = false;
    if (name !== "step") return;
    button.addEventListener("pointerdown", () => {
      const stop = new AbortController();
      const run = async () => { held = true; while (!stop.signal.aborted) await this.stepper.step(Number(by)); };
      const timer = setTimeout(run, 400);
      const end = () => { clearTimeout(timer); stop.abort(); };
      for (const gone of ["pointerup", "pointercancel", "pointerleave"]) button.addEventListener(gone, end, { once: true });
    });
  }

  #act(act) {
    const does = {
      step: () => { this.stepper.pause(); this.stepper.step(act.by); },
      to: () => this.stepper.show("index" in act ? Math.min(act.index, this.stepper.count) : this.stepper.nearest(act.time_s)),
      play: () => this.#play(),
      speed: () => this.#speed(act.rate),
      mark: () => this.#mark(act.limb, act.other),
      expected: () => (this.review?.active ? this.review?.accept() : this.#expected()),
      event: () => { this.pads.event = other(this.pads.event); this.#say(`Keys and pads now mark ${eventName(this.pads.event)}s`); },
      select: () => this.#select(act.id, act.stay),
      move: () => this.#move(act.id, act.time_s),
      nudge: () => this.#nudge(act.by),
      choose: () => this.#choose(act.by),
      remove: () => (this.review?.active ? this.review?.reject() : this.#remove()),
      undo: () => this.#turned(this.marks.undo(), "Undone"),
      redo: () => this.#turned(this.marks.redo(), "Done again"),
      check: () => this.review?.begin(),
      accept: () => this.review?.accept(),
      reject: () => this.review?.reject(),
      skip: () => this.review?.skip(),
      zoom: () => (this.view.scale > 1 ? this.view.all() : this.view.feet()),
      nearer: () => this.view.nearer(NEARER),
      farther: () => this.view.nearer(1 / NEARER),
      slide: () => this.view.slide(act.by),
      steady: () => this.#steady(),
      beat: () => this.hearing?.toggle("measured"),
      leave: () => { this.review?.leave(); this.measure?.leave(); this.#select(null, true); },
    }[act.name];
    does?.();
  }

  async #play() {
    if (this.stepper.playing) await this.stepper.pause();
    else await this.stepper.play(this.#rate);
    this.#playing();
  }

  #speed(rate) {
    this.#rate = rate;
    this.stepper.rate(rate);
    for (const radio of this.#page.querySelectorAll("input[name=speed]")) radio.checked = Number(radio.value) === rate;
  }

  // The mark lies on the picture on screen. What the machine found there is thereby accepted, not doubled.
  #mark(limb, turned, index = this.stepper.index) {
    const event = turned ? other(this.pads.event) : this.pads.event;
    const time_s = this.stepper.timeOf(index);
    const there = this.marks.all.find((mark) => mark.limb === limb && mark.event === event && !mark.rejected && this.stepper.nearest(mark.time_s) === index);
    this.pads.flash(limb);
    if (there?.by === "person") { this.#say(`Already there: ${sayMark(there)}`); return; }
    this.#lastMarked = index;
    this.#selected = this.marks.add({ limb, event, time_s, stands_for: there?.id ?? null });
    this.#say(`${footName(limb)} ${eventName(event)} at ${inSeconds(time_s)}`);
    this.#show();
  }

  #held({ limb, turned, by }) {
    const what = `${footName(limb)} ${eventName(turned ? other(this.pads.event) : this.pads.event)}`;
    this.pads.held(limb);
    this.#hint(`${what[0].toUpperCase()}${what.slice(1)}: ${by === "key" ? "← → move it" : "slide to move it"}, let go to mark it`);
  }

  #freed({ goesOn }) {
    this.pads.held(null);
    this.#hint("");
    if (goesOn && this.stepper.aim < this.stepper.count - 1) this.#play(); else this.#playing();
  }

  // Goes to where the rhythm expects the next foot; there, or after a step from there, takes it.
  async #expected() {
    await this.marks.settled();
    const { next } = this.marks;
    if (!next) { this.#say("Mark a first foot: then the next one is offered."); return; }
    if (!this.#isThere(next)) { this.stepper.show(this.stepper.nearest(next.time_s)); return; }
    this.#mark(next.limb, next.event !== this.pads.event);
  }

  #isThere(next) {
    if (next.time_s === null) return this.stepper.index !== this.#lastMarked;
    const there = this.stepper.nearest(next.time_s);
    if (this.stepper.index === there) return true;
    return this.stepper.index !== this.#lastMarked && Math.abs(this.stepper.time_s - next.time_s) < NEAR_S * this.factor;
  }

  #select(id, stay = false) {
    this.#selected = id;
    const mark = id && this.marks.find(id);
    if (mark && !stay) this.stepper.show(this.stepper.nearest(mark.time_s));
    this.#show();
  }

  #move(id, time_s) {
    const index = this.stepper.nearest(time_s);
    this.#selected = this.marks.move(id, this.stepper.timeOf(index));
    this.stepper.show(index);
    this.#show();
  }

  #nudge(by) {
    const mark = this.#chosen();
    if (mark) this.#move(mark.id, this.stepper.timeOf(this.stepper.nearest(mark.time_s) + by));
    else this.#say("Choose a mark first: press it, or use [ and ].");
  }

  #choose(by) {
    const marks = this.marks.all;
    const at = marks.findIndex((mark) => mark.id === this.#selected);
    const from = at >= 0 ? at + by : by > 0 ? marks.findIndex((mark) => mark.time_s >= this.stepper.time_s) : marks.findLastIndex((mark) => mark.time_s <= this.stepper.time_s);
    const mark = marks[from];
    if (mark) { this.#select(mark.id); this.#say(sayMark(mark, { check: this.marks.check.includes(mark.id) })); }
  }

  #remove() {
    const mark = this.#chosen();
    if (!mark) { this.#say("Choose a mark first: press it, or use [ and ]."); return; }
    this.marks.remove(mark.id);
    this.#selected = null;
    this.#say(`Deleted: ${sayMark(mark)}. Ctrl+Z brings it back.`);
    this.#show();
  }

  // What was turned back or done again is shown and said; a mark that is gone by it has no picture to go to.
  #turned(id, words) {
    if (!id) return;
    const mark = this.marks.find(id);
    if (mark) this.#select(id, this.stepper.playing);
    this.#say(mark ? `${words}: ${sayMark(mark)}` : `${words}; the mark is gone.`);
  }

  // The mark that was chosen, or else the only one on the picture on screen.
  #chosen() {
    const here = this.marks.all.filter((mark) => this.stepper.nearest(mark.time_s) === this.stepper.index);
    return this.marks.find(this.#selected) ?? (here.length === 1 ? here[0] : undefined);
  }

  async #steady() {
    this.#paths ??= await (await fetch(`${this.#url}/steadying`)).json();
    if (!this.#paths) this.#say("The camera's path is known once the machine has read the film.");
    this.#steadied(this.view.steady ? null : this.#paths);
  }

  #steadied(paths) {
    this.view.steadied(paths, this.stepper.index);
    this.#page.querySelector("[data-act=steady]")?.setAttribute("aria-pressed", String(this.view.steady));
  }

  #shown({ index, time_s, playing }) {
    this.view.picture(index);
    this.hearing?.passed(time_s, playing);
    this.#page.querySelector("[data-part=picture]").textContent = `Picture ${index + 1} of ${this.stepper.count}`;
    this.#page.querySelector("[data-part=time]").textContent = inSeconds(time_s);
    this.#page.dataset.index = index;
    this.measure?.redraw();
    this.#playing();
    this.#show();
  }

  #playing() {
    const button = this.#page.querySelector("[data-act=play]");
    button.querySelector("[data-part=play]").textContent = this.stepper.playing ? "Pause" : "Play";
    button.setAttribute("aria-pressed", String(this.stepper.playing));
    this.answer?.hold(this.stepper.playing || this.holding.goesOn);
  }

  #changed() {
    this.#show();
    if (this.marks.revision === this.#revision) return;
    if (this.#revision < 0) this.answer?.now(); else this.answer?.later();
    this.#revision = this.marks.revision;
  }

  #show() {
    const check = new Set(this.marks.check);
    const { all, next } = this.marks;
    this.timeline.show({ marks: all, check, selected: this.#selected, time_s: this.stepper.time_s, next });
    this.list?.show(all, check, (time_s) => this.stepper.nearest(time_s));
    this.pads.expect(next?.limb);
    this.#offer(next);
    const mark = this.marks.find(this.#selected);
    this.#page.querySelector("[data-part=chosen]").textContent = mark ? sayMark(mark, { check: check.has(mark.id) }) : "No mark chosen";
    for (const button of this.#page.querySelectorAll("[data-needs=mark]")) button.disabled = !this.#chosen();
    this.#page.querySelector("[data-act=undo]").disabled = !this.marks.canUndo;
    this.#page.querySelector("[data-act=redo]").disabled = !this.marks.canRedo;
  }

  #offer(next) {
    const button = this.#page.querySelector("[data-act=expected]");
    button.disabled = !next;
    const foot = next ? `${footName(next.limb)}${next.event === "off" ? " lift-off" : ""}` : "";
    const words = !next ? "Mark a first foot" : this.#isThere(next) || next.time_s === null ? `Mark ${foot} here` : `Go to ${foot}`;
    button.querySelector("[data-part=offer]").textContent = words;
  }

  #saved() {
    const { waiting } = this.marks;
    const state = this.#page.querySelector("[data-part=saved]");
    state.textContent = waiting ? `${waiting} not saved yet` : "Saved";
    state.classList.toggle("is-waiting", waiting > 0);
  }

  // With something to check, that comes before the pads: for the eyes, the Tab key and who listens alike.
  #ahead(asks) {
    const [pads, time] = [".film-mark", ".film-time"].map((name) => this.#page.querySelector(name));
    const focused = document.activeElement;
    if (asks) pads.before(time); else pads.after(time);
    if (focused !== document.activeElement) focused.focus({ preventScroll: true });
  }

  // On the film, where the eyes are, and spoken.
  #hint(words) {
    const hint = this.#page.querySelector("[data-part=hint]");
    if (!this.measure?.active) { hint.textContent = words; hint.hidden = words === ""; }
    if (words) this.#say(words);
  }

  #say(words) { this.#page.querySelector("[data-part=live]").textContent = words; }
}

function other(event) { return event === "on" ? "off" : "on"; }

async function open(page) {
  const clip = await filmReady(page, page.dataset.clip);
  const times = await (await fetch(`/api/clips/${clip.id}/times`)).json();
  page.querySelector("[data-part=waiting]").hidden = true;
  page.querySelector("[data-part=film]").hidden = false;
  const film = new Film(page, clip, times);
  await film.begin();
  followReading(page, clip, { read: () => film.readAnew(), marks: () => film.marks.load() });
  page.dataset.ready = "";
}

const page = document.querySelector("[data-film-page]");
open(page).catch((error) => told(page, error));
