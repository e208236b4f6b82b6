// One picture of a film at a time, exactly.
//
//   const stepper = new Stepper(video, times_s, end_s);
//   await stepper.show(12);          // picture 12 is on screen; stepper.index === 12
//   stepper.play(0.25); await stepper.pause();
//
// Event `shown` after every change of picture, detail {index, time_s, playing}.
//
// A player that is sent to the exact time of a picture may stop one picture early, so it is always sent to the middle
// of the picture's time on screen. The frame callback is asked for before the time is set, and raced with `seeked`:
// it stays silent where that picture is on screen already. Times are the original film's; the player's clock starts at
// the first picture.

const SLACK_MS = 80;

export class Stepper extends EventTarget {
  #video;
  #times;
  #end;
  #wanted = null;
  #aim = null;
  #moving = null;
  #following = 0;
  #settled = null;

  constructor(video, times_s, end_s) {
    super();
    this.#video = video;
    this.#times = times_s;
    this.#end = end_s;
    this.index = 0;
    video.addEventListener("ended", () => this.#stopped());
    video.addEventListener("pause", () => this.#stopped());
  }

  get count() { return this.#times.length; }
  get time_s() { return this.#times[this.index]; }
  get end_s() { return this.#end; }
  get playing() { return this.#following > 0; }

  // The picture that is on screen once what was asked for is.
  get aim() { return this.#aim ?? this.index; }

  timeOf(index) { return this.#times[this.#inside(index)]; }

  // Show a picture. While one is being fetched, only the last wish is kept; every promise waits for it.
  show(index) {
    this.#wanted = this.#aim = this.#inside(index);
    this.#moving ??= this.#move();
    return this.#moving;
  }

  step(by) { return this.show(this.aim + by); }

  // The picture on screen at a moment of the film.
  at(time_s) {
    let low = 0;
    let high = this.#times.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.#times[middle] <= time_s + 1e-4) low = middle; else high = middle - 1;
    }
    return low;
  }

  // The picture whose own time is nearest to a moment.
  nearest(time_s) {
    const before = this.at(time_s);
    const after = this.#inside(before + 1);
    return this.#times[after] - time_s < time_s - this.#times[before] ? after : before;
  }

  async play(rate) {
    await this.#moving;
    if (this.index === this.count - 1) await this.show(0);
    this.#video.playbackRate = rate;
    this.#following += this.#following ? 0 : 1;
    this.#follow();
    await this.#video.play();
  }

  rate(rate) { this.#video.playbackRate = rate; }

  // On the picture that is on screen, or on another.
  async pause(at = this.index) {
    if (!this.playing) return;
    this.#following = 0;
    this.#video.pause();
    await this.show(at);
  }

  async #move() {
    try {
      while (this.#wanted !== null) {
        const index = this.#wanted;
        this.#wanted = null;
        await this.#seek(index);
        this.#now(index);
      }
    } finally {
      this.#moving = this.#aim = null;
    }
  }

  async #seek(index) {
    const video = this.#video;
    const middle = this.#middle(index) - this.#times[0];
    if (video.readyState > 1 && !video.seeking && middle === this.#settled && Math.abs(video.currentTime - middle) < 1e-6) return;
    if (video.readyState < 1) await once(video, "loadedmetadata");
    let asked = 0;
    const framed = new Promise((resolve) => {
      const look = () => {
        asked = video.requestVideoFrameCallback?.((_, frame) => {
          if (this.nearest(frame.mediaTime + this.#times[0]) === index) resolve(); else look();
        });
      };
      look();
    });
    const sought = once(video, "seeked").then(() => Promise.race([framed, wait(SLACK_MS)]));
    video.currentTime = middle;
    await Promise.race([framed, sought]);
    this.#settled = Math.abs(video.currentTime - middle) < 1e-6 ? middle : null;
    if (asked) video.cancelVideoFrameCallback(asked);
  }

  #middle(index) {
    const next = index + 1 < this.count ? this.#times[index + 1] : this.#end;
    return (this.#times[index] + next) / 2;
  }

  #follow() {
    if (!this.playing) return;
    const seen = (_, frame) => {
      if (!this.playing) return;
      this.#now(this.nearest(frame.mediaTime + this.#times[0]));
      this.#follow();
    };
    if (this.#video.requestVideoFrameCallback) this.#video.requestVideoFrameCallback(seen);
    else requestAnimationFrame(() => seen(0, { mediaTime: this.#video.currentTime }));
  }

  // The film ended, or the browser stopped it.
  #stopped() {
    if (!this.playing) return;
    this.#following = 0;
    this.show(this.index);
  }

  #now(index) {
    this.index = index;
    const detail = { index, time_s: this.#times[index], playing: this.playing };
    this.dispatchEvent(new CustomEvent("shown", { detail }));
  }

  #inside(index) { return Math.min(Math.max(index, 0), this.#times.length - 1); }
}

function once(target, name) {
  return new Promise((resolve, reject) => {
    target.addEventListener(name, resolve, { once: true });
    target.addEventListener("error", () => reject(target.error ?? new Error(name)), { once: true });
  });
}

function wait(ms) { return new Promise((resolve) => setTimeout(resolve, ms)); }
