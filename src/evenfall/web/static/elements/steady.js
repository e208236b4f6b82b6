// The film near enough to see the feet, and steadied to the ground: what stands on it stands still on screen.
//
//   const view = new View(stage, plane, video, width);   // width: original pixels; `plane` holds the video and what is drawn over it
//   view.feet(); view.all(); view.steadied(list);    // one 3×3 a picture, original pixels to the ground frame, or null
//   view.picture(index);
//
// Wheel and pinch zoom; a drag moves the picture while it is zoomed. Event on the stage: `view` {scale}.

const FEET_SCALE = 2.4;
const MOST = 6;

export class View {
  #stage;
  #plane;
  #video;
  #width;
  #scale = 1;
  #x = 0;
  #y = 0;
  #paths = null;
  #base = null;
  #fingers = new Map();

  constructor(stage, plane, video, width) {
    this.#stage = stage;
    this.#plane = plane;
    this.#video = video;
    this.#width = width;
    stage.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
    stage.addEventListener("pointerdown", (event) => this.#down(event));
    stage.addEventListener("pointermove", (event) => this.#moved(event));
    for (const name of ["pointerup", "pointercancel", "pointerleave"]) {
      stage.addEventListener(name, (event) => this.#fingers.delete(event.pointerId));
    }
    new ResizeObserver(() => this.#lay()).observe(stage);
  }

  get scale() { return this.#scale; }
  get steady() { return this.#paths !== null; }

  // The lower middle of the picture, where a ridden horse's feet are.
  feet() { this.zoomTo(FEET_SCALE, 0.5, 0.82); }
  all() { this.zoomTo(1, 0.5, 0.5); }

  zoomTo(scale, across, down) {
    const { clientWidth: wide, clientHeight: high } = this.#stage;
    this.#scale = Math.min(Math.max(scale, 1), MOST);
    this.#x = wide / 2 - across * wide * this.#scale;
    this.#y = high / 2 - down * high * this.#scale;
    this.#lay();
  }

  steadied(paths, index = 0) {
    this.#paths = paths;
    this.#base = paths ? index : null;
    this.picture(index);
  }

  // Lay the picture over the one the steadying began with; a gap in the camera's path begins anew.
  picture(index) {
    const path = this.#paths?.[index];
    if (!path) { this.#video.style.transform = ""; this.#base = null; return; }
    if (this.#base === null || !this.#paths[this.#base]) this.#base = index;
    const over = times(inverse(this.#paths[this.#base]), path);
    this.#video.style.transform = css(over, this.#video.clientWidth / this.#width);
  }

  #wheel(event) {
    event.preventDefault();
    this.#about(event, this.#scale * Math.exp(-event.deltaY * 0.0015));
  }

  #about(event, scale) {
    const box = this.#stage.getBoundingClientRect();
    const x = event.clientX - box.left;
    const y = event.clientY - box.top;
    const next = Math.min(Math.max(scale, 1), MOST);
    this.#x = x - ((x - this.#x) * next) / this.#scale;
    this.#y = y - ((y - this.#y) * next) / this.#scale;
    this.#scale = next;
    this.#lay();
  }

  #down(event) {
    if (this.#stage.dataset.measuring !== undefined) return;
    this.#fingers.set(event.pointerId, event);
  }

  #moved(event) {
    const before = this.#fingers.get(event.pointerId);
    if (!before) return;
    const other = [...this.#fingers.values()].find((each) => each.pointerId !== event.pointerId);
    this.#fingers.set(event.pointerId, event);
    if (other) {
      const apart = Math.hypot(event.clientX - other.clientX, event.clientY - other.clientY);
      const was = Math.hypot(before.clientX - other.clientX, before.clientY - other.clientY);
      if (was > 0) this.#about({ clientX: (event.clientX + other.clientX) / 2, clientY: (event.clientY + other.clientY) / 2 }, (this.#scale * apart) / was);
    } else if (this.#scale > 1) {
      this.#x += event.clientX - before.clientX;
      this.#y += event.clientY - before.clientY;
      this.#lay();
    }
  }

  #lay() {
    const { clientWidth: wide, clientHeight: high } = this.#stage;
    this.#x = Math.min(0, Math.max(this.#x, wide * (1 - this.#scale)));
    this.#y = Math.min(0, Math.max(this.#y, high * (1 - this.#scale)));
    this.#plane.style.transform = `translate(${this.#x}px, ${this.#y}px) scale(${this.#scale})`;
    this.#stage.style.touchAction = this.#scale > 1 ? "none" : "pan-y";
    this.#stage.dispatchEvent(new CustomEvent("view", { detail: { scale: this.#scale } }));
  }
}

function times(a, b) {
  return a.map((row) => b[0].map((_, column) => row[0] * b[0][column] + row[1] * b[1][column] + row[2] * b[2][column]));
}

function inverse([[a, b, c], [d, e, f], [g, h, i]]) {
  const whole = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  return [
    [(e * i - f * h) / whole, (c * h - b * i) / whole, (b * f - c * e) / whole],
    [(f * g - d * i) / whole, (a * i - c * g) / whole, (c * d - a * f) / whole],
    [(d * h - e * g) / whole, (b * g - a * h) / whole, (a * e - b * d) / whole],
  ];
}

// A 3×3 of original pixels as a matrix3d of screen pixels; `scale` is screen pixels in one original pixel.
function css([[a, b, c], [d, e, f], [g, h, i]], scale) {
  const cells = [a, d, 0, g / scale, b, e, 0, h / scale, 0, 0, 1, 0, c * scale, f * scale, 0, i];
  return `matrix3d(${cells.map((cell) => cell.toFixed(10)).join(",")})`;
}
