// A foot's key or pad held down: the film stands still on that picture, and the mark is written when it is let go.
//
//   const holding = new Holding(padsRoot, stepper);
//   listen(page, holding);                      // keys ask here first
//
// While it is held the arrows, or a slide of the finger, go on and back a picture; Escape drops it. A short press marks
// as if there were no holding: a key the picture on which it went down, a pad by its own click.
//
// Events: `mark` {limb, turned, index}; `held` {limb, by: "key" | "finger"}; `freed` {goesOn}: the film was playing.

const HOLD_MS = 400;
const SLIDE_PX = 16; // a picture; gloves are wide
const SLIP_PX = 12; // further than this before it stands still, the finger scrolls

export class Holding extends EventTarget {
  #stepper;
  #pressed = null;
  #swallow = false;

  constructor(root, stepper) {
    super();
    this.#stepper = stepper;
    root.addEventListener("pointerdown", (event) => this.#down(event));
    root.addEventListener("pointermove", (event) => this.#moved(event));
    root.addEventListener("click", (event) => this.#clicked(event), true);
    root.addEventListener("contextmenu", (event) => { if (this.#pressed) event.preventDefault(); });
    root.addEventListener("touchmove", (event) => { if (this.stands) event.preventDefault(); }, { passive: false });
    addEventListener("pointerup", (event) => this.#up(event));
    addEventListener("pointercancel", (event) => { if (this.#is(event)) this.#drop(); });
    for (const gone of ["blur", "pagehide"]) addEventListener(gone, () => this.#write());
  }

  get stands() { return this.#pressed?.stands ?? false; }

  // Whether the film goes on by itself when the foot is let go.
  get goesOn() { return this.#pressed?.goesOn ?? false; }

  // A key that means something went down; whether that was dealt with here.
  key(event, act) {
    if (this.stands && act.name === "step") { this.#stepper.step(Math.sign(act.by)); return true; }
    if (this.stands && act.name === "leave") { this.#drop(); return true; }
    if (this.stands && act.name === "play") return true;
    this.#write();
    if (act.name !== "mark") return false;
    this.#press({ by: "key", id: event.code || event.key, limb: act.limb, turned: act.other });
    return true;
  }

  keyUp(event) { if (this.#pressed?.by === "key" && this.#pressed.id === (event.code || event.key)) this.#write(); }

  #press(pressed) {
    const timer = setTimeout(() => this.#stand(), HOLD_MS);
    this.#pressed = { ...pressed, index: this.#stepper.aim, timer, stands: false, goesOn: false };
  }

  #stand() {
    const pressed = this.#pressed;
    pressed.stands = true;
    pressed.goesOn = this.#stepper.playing;
    this.#stepper.pause(pressed.index);
    pressed.pad?.setPointerCapture(pressed.id);
    this.#tell("held", { limb: pressed.limb, turned: pressed.turned, by: pressed.by });
  }

  // A pad that did not stand still is left to its click.
  #write() {
    const pressed = this.#ended();
    if (!pressed) return;
    const { limb, turned, stands, by } = pressed;
    if (stands || by === "key") this.#tell("mark", { limb, turned, index: stands ? this.#stepper.aim : pressed.index });
    this.#free(pressed);
  }

  #drop() {
    const pressed = this.#ended();
    if (pressed) this.#free(pressed);
  }

  #ended() {
    const pressed = this.#pressed;
    clearTimeout(pressed?.timer);
    this.#pressed = null;
    return pressed;
  }

  #free({ stands, goesOn }) { if (stands) this.#tell("freed", { goesOn }); }

  #down(event) {
    const pad = event.target.closest("[data-limb]");
    this.#swallow = false;
    if (!pad || event.button !== 0) return;
    this.#write();
    this.#press({ by: "finger", id: event.pointerId, limb: pad.dataset.limb, turned: false, pad, from: event.clientX, x: event.clientX, y: event.clientY });
  }

  #moved(event) {
    if (!this.#is(event)) return;
    const pressed = this.#pressed;
    if (pressed.stands) {
      this.#stepper.show(pressed.index + Math.trunc((event.clientX - pressed.from) / SLIDE_PX));
    } else if (Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) > SLIP_PX) {
      this.#drop();
    } else pressed.from = event.clientX;
  }

  #up(event) {
    if (!this.#is(event)) return;
    this.#swallow = this.stands;
    this.#write();
  }

  // The click that a finger let go of a held pad leaves behind.
  #clicked(event) {
    if (this.#swallow && event.detail) { event.stopPropagation(); event.preventDefault(); }
    this.#swallow = false;
  }

  #is(event) { return this.#pressed?.by === "finger" && this.#pressed.id === event.pointerId; }

  #tell(name, detail) { this.dispatchEvent(new CustomEvent(name, { detail })); }
}
