// The film near enough to see the feet, and steadied to the ground: what stands on it stands still on screen.
//
//   const view = new View(stage, plane, video, width);   // width: original pixels; `plane` holds the video and what is drawn over it
//   view.feet(); view.all(); view.steadied(list);    // one 3×3 a picture, original pixels to the ground frame, or null
//   view.picture(index);
//
//   view.nearer(2); view.slide([1, 0]);         // about the middle of what is seen; a step to the right
//
// Wheel and pinch zoom at the place under them; a drag moves the picture while it is zoomed, and leaves no click behind.
// Event on the stage: `view` {scale}; zoomed, the stage has `data-near`.

const FEET_SCALE = 2.4;
const MOST = 6;
const SLIDE = 0.2; // of the stage, a key
const SLIP_PX = 5; // a hand is never quite still: no drag yet
const LINE_PX = 40; // some browsers turn the wheel in lines

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
  #dragged = false;

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
    stage.addEventListener("click", (event) => { if (this.#dragged) event.stopPropagation(); }, true);
    stage.addEventListener("touchmove", (event) => { if (event.touches.length > 1) event.preventDefault(); }, { passive: false });
    new ResizeObserver(() => this.#lay()).observe(stage);
  }

  get scale() { return this.#scale; }
  get steady() { return this.#paths !== null; }

  // The lower middle of the picture, where a ridden horse's feet are.
  feet() { this.zoomTo(FEET_SCALE, 0.5, 0.82); }
  all() { this.zoomTo(1, 0.5, 0.5); }

  nearer(by) { const middle = this.#middle(); this.#bring(middle, middle, this.#scale * by); }

  slide([across, down]) {
    const { clientWidth: wide, clientHeight: high } = this.#stage;
    this.#x -= across * SLIDE * wide;
    this.#y -= down * SLIDE * high;
    this.#lay();
  }

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
    const at = { x: event.clientX, y: event.clientY };
    this.#bring(at, at, this.#scale * Math.exp(-event.deltaY * (event.deltaMode ? LINE_PX : 1) * 0.0015));
  }

  // What lies at one place of the screen comes to another, and is so near.
  #bring(from, to, scale) {
    const box = this.#stage.getBoundingClientRect();
    const next = Math.min(Math.max(scale, 1), MOST);
    this.#x = to.x - box.left - ((from.x - box.left - this.#x) * next) / this.#scale;
    this.#y = to.y - box.top - ((from.y - box.top - this.#y) * next) / this.#scale;
    this.#scale = next;
    this.#lay();
  }

  #middle() {
    const box = this.#stage.getBoundingClientRect();
    return { x: box.left + box.width / 2, y: box.top + box.height / 2 };
  }

  #down(event) {
    if (event.button !== 0) return;
    if (!this.#fingers.size) this.#dragged = false;
    const at = { x: event.clientX, y: event.clientY };
    this.#fingers.set(event.pointerId, { at, from: at });
  }

  #moved(event) {
    const finger = this.#fingers.get(event.pointerId);
    if (!finger) return;
    const other = [...this.#fingers.values()].find((each) => each !== finger);
    const [was, at] = [finger.at, { x: event.clientX, y: event.clientY }];
    this.#dragged ||= Boolean(other) || apart(at, finger.from) > SLIP_PX;
    if (!this.#dragged) return;
    finger.at = at;
    if (!other) { if (this.#scale > 1) this.#bring(was, at, this.#scale); return; }
    const before = apart(was, other.at);
    if (before > 0) this.#bring(between(was, other.at), between(at, other.at), (this.#scale * apart(at, other.at)) / before);
  }

  #lay() {
    const { clientWidth: wide, clientHeight: high } = this.#stage;
    this.#x = Math.min(0, Math.max(this.#x, wide * (1 - this.#scale)));
    this.#y = Math.min(0, Math.max(this.#y, high * (1 - this.#scale)));
    this.#plane.style.transform = `translate(${this.#x}px, ${this.#y}px) scale(${this.#scale})`;
    this.#stage.toggleAttribute("data-near", this.#scale > 1);
    this.#stage.style.touchAction = this.#scale > 1 ? "none" : "pan-y";
    this.#stage.dispatchEvent(new CustomEvent("view", { detail: { scale: this.#scale } }));
  }
}

function apart(a, b) { return Math.hypot(a.x - b.x, a.y - b.y); }

function between(a, b) { return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 }; }

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
