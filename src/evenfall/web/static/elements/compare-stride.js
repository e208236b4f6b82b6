// A film measured in strides: which moment is which place of the stride, and back.
//
//   const stride = new Stride(film.begins_s, film.real_s);
//   stride.time(1.25)    // a quarter through its second stride, seconds on the film's clock
//   stride.place(0.84)   // back: 1.25
//
// Within a stride time runs evenly; beyond the first and the last it runs on as they do.

export class Stride {
  #begins;
  #real;

  constructor(begins_s, real_s) {
    this.#begins = begins_s;
    this.#real = real_s;
  }

  time(place) {
    const k = this.#inside(Math.floor(place));
    return this.#begins[k] + (place - k) * (this.#begins[k + 1] - this.#begins[k]);
  }

  place(time_s) {
    let k = 0;
    while (k < this.#real.length - 1 && this.#begins[k + 1] <= time_s) k += 1;
    return k + (time_s - this.#begins[k]) / (this.#begins[k + 1] - this.#begins[k]);
  }

  // How long the stride at a place takes, real seconds.
  real(place) { return this.#real[this.#inside(Math.floor(place))]; }

  #inside(k) { return Math.min(Math.max(k, 0), this.#real.length - 1); }
}
