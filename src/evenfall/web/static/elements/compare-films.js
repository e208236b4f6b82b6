// Two films in step by the stride: both always show the same place of the stride, not the same second.
//
// One number, the place (1.25 is a quarter through the second stride), is turned into each film's own time. Playing moves
// the place on as fast as the slower of the two strides runs; the next place is asked for once both films show the last
// one, so that neither runs ahead however slow the machine is. Event `placed` after every change, detail {place}.

import { Bars } from "./compare-bars.js";
import { Stride } from "./compare-stride.js";
import { Stepper } from "./stepper.js";
import { filmReady, told } from "./waiting.js";

const STEP = 1 / 20;

class InStep {
  #page;
  #films;
  #strides;
  #place = 0;
  #aim = 0;
  #pace = 0.125;
  #playing = false;
  #moving = null;
  #wanted = null;

  constructor(page, films, strides) {
    this.#page = page;
    this.#films = films;
    this.#strides = strides;
    const slide = this.#part("slide");
    slide.max = strides;
    slide.addEventListener("input", () => { this.#stop(); this.show(Number(slide.value)); });
    for (const button of page.querySelectorAll("[data-act]")) button.addEventListener("click", () => this.act(button.dataset.act));
    for (const radio of page.querySelectorAll("input[name=pace]")) {
      this.#pace = radio.checked ? Number(radio.value) : this.#pace;
      radio.addEventListener("change", () => { this.#pace = Number(radio.value); });
    }
    page.addEventListener("keydown", (event) => this.#key(event));
    new ResizeObserver(() => this.#drawn()).observe(page);
  }

  get place() { return this.#place; }

  act(name) {
    if (name === "play") return this.#playing ? this.#stop() : this.#play();
    this.#stop();
    const by = name === "on" ? STEP : -STEP;
    return this.show(Math.round((this.#aim + by) / STEP) * STEP);
  }

  // Bring both films to a place; while they are on their way only the last wish is kept.
  show(place) {
    this.#wanted = this.#aim = Math.min(Math.max(place, 0), this.#strides);
    this.#moving ??= this.#move();
    return this.#moving;
  }

  async #move() {
    while (this.#wanted !== null) {
      const place = this.#wanted;
      this.#wanted = null;
      await Promise.all(this.#films.map(({ stepper, stride }) => stepper.show(stepper.nearest(stride.time(place)))));
      this.#place = place;
      this.#drawn();
      this.#page.dispatchEvent(new CustomEvent("placed", { detail: { place } }));
    }
    this.#moving = null;
  }

  async #play() {
    this.#playing = true;
    this.#said();
    if (this.#place >= this.#strides) await this.show(0);
    let then = performance.now();
    while (this.#playing && this.#place < this.#strides) {
      const now = await new Promise(requestAnimationFrame);
      const slowest = Math.max(...this.#films.map(({ stride }) => stride.real(this.#place)));
      const by = (this.#pace * Math.max(now - then, 0)) / 1000 / slowest;
      then = now;
      await this.show(this.#place + by);
    }
    this.#stop();
  }

  #stop() {
    this.#playing = false;
    this.#said();
  }

  #key(event) {
    const does = { ArrowLeft: "back", ArrowRight: "on", " ": "play" }[event.key];
    if (!does || event.altKey || event.ctrlKey || event.metaKey || event.target.closest("input, select, summary, a")) return;
    if (event.key === " " && event.target.closest("button")) return; // the button's own press
    event.preventDefault();
    this.act(does);
  }

  #drawn() {
    for (const { bars } of this.#films) bars.show(this.#place);
    this.#page.dataset.place = this.#place.toFixed(3);
    const whole = Math.min(Math.floor(this.#place + 1e-9), this.#strides - 1);
    const share = Math.round(100 * (this.#place - whole));
    this.#part("slide").value = this.#place;
    this.#part("slide").setAttribute("aria-valuetext", `stride ${whole + 1}, ${share} %`);
    this.#part("place").textContent = `Stride ${whole + 1} of ${this.#strides}, ${share}\u00a0%`;
  }

  #said() { this.#page.querySelector("[data-act=play]").textContent = this.#playing ? "Pause" : "Play"; }

  #part(name) { return this.#page.querySelector(`[data-part=${name}]`); }
}

async function ready(figure, film) {
  const id = Number(figure.dataset.clip);
  const clip = await filmReady(figure, id);
  figure.querySelector("[data-part=waiting]").hidden = true;
  const times = await (await fetch(`/api/clips/${id}/times`)).json();
  const video = figure.querySelector("video");
  video.src = clip.film;
  const stride = new Stride(film.begins_s, film.real_s);
  return { stride, stepper: new Stepper(video, times.times_s, times.end_s), bars: new Bars(figure.querySelector("svg"), film, stride) };
}

async function begin(page) {
  const answer = await fetch(page.dataset.src);
  const laid = await answer.json();
  const problem = laid.problem ?? laid.error?.message;
  if (problem) {
    const place = page.querySelector("[data-part=problem]");
    place.textContent = problem;
    place.hidden = false;
    page.querySelector(".step-films").hidden = true;
    return;
  }
  const figures = [...page.querySelectorAll("figure")];
  figures.forEach((figure) => { figure.querySelector("[data-part=waiting]").hidden = false; });
  const films = await Promise.all(figures.map((figure, place) => ready(figure, laid.films[place]).catch((error) => { told(figure, error); throw error; })));
  const together = new InStep(page, films, laid.strides);
  for (const part of ["acts", "more", "about"]) page.querySelector(`[data-part=${part}]`).hidden = false;
  await together.show(0);
  page.inStep = { together, films };
  page.dataset.ready = "";
}

for (const page of document.querySelectorAll("[data-in-step]")) await begin(page);
