// The buttons for the ear: measured, even and asked-for beat at the horse's own stride rate, a metronome, and along the film.

import { Sound } from "./sound.js";

export class Hearing {
  #root;
  #video;
  #beat = null;
  #sound = new Sound();
  #on = null;

  constructor(root, video) {
    this.#root = root;
    this.#video = video;
    for (const button of this.#buttons) button.addEventListener("click", () => this.toggle(button.dataset.hear));
    this.#along.addEventListener("change", () => this.#follow());
    root.querySelector("[data-part=own-sound]").addEventListener("change", (event) => { video.muted = !event.target.checked; });
    this.beat(null);
  }

  get #buttons() { return [...this.#root.querySelectorAll("[data-hear]")]; }
  get #along() { return this.#root.querySelector("[data-part=along]"); }

  beat(beat) {
    this.#beat = beat;
    for (const button of this.#buttons) button.disabled = !beat;
    const says = this.#root.querySelector("[data-part=beat-says]");
    says.textContent = beat ? beat.says : "There is a beat to hear as soon as two strides are marked.";
    const goal = this.#root.querySelector("[data-hear=goal]");
    if (beat) goal.textContent = `The beat asked for: ${beat.goal}`;
    if (!beat && this.#on) this.toggle(this.#on);
    this.#follow();
  }

  toggle(which) {
    if (!this.#beat && this.#on === null) return;
    this.#on = this.#on === which ? null : which;
    if (this.#on) {
      const tick = which === "metronome";
      this.#sound.loop(this.#beat.offsets[tick ? "goal" : which], this.#beat.stride_s, { tick });
    } else {
      this.#sound.stop();
    }
    for (const button of this.#buttons) button.setAttribute("aria-pressed", String(button.dataset.hear === this.#on));
  }

  passed(time_s, playing) { this.#sound.passed(time_s, playing); }

  #follow() {
    const which = this.#along.value;
    this.#sound.along(which && this.#beat ? this.#beat.along[which] : []);
  }
}
