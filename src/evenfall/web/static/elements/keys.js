// Keys of the film page. Index fingers are the fores, middle fingers the hinds, each hand its own side:
//
//     left hand   D left hind   F left fore   |   J right fore   K right hind   right hand
//
// A foot's key marks its landing, with Shift its lift-off. The four can be changed and are kept by the browser.
// Every act is dispatched on the target as `act`, detail {name, ...}; where keys are typed into a field they are let be.
// What may be held down (holding.js) is asked first.

const STORE = "evenfall-foot-keys";
const FEET = { f: "LF", d: "LH", j: "RF", k: "RH" };

const PLAIN = {
  " ": { name: "play" }, Enter: { name: "expected" }, Delete: { name: "remove" }, Backspace: { name: "remove" },
  ",": { name: "nudge", by: -1 }, ".": { name: "nudge", by: 1 }, "[": { name: "choose", by: -1 }, "]": { name: "choose", by: 1 },
  "1": { name: "speed", rate: 0.125 }, "2": { name: "speed", rate: 0.25 }, "3": { name: "speed", rate: 0.5 },
  "4": { name: "speed", rate: 1 }, c: { name: "check" }, a: { name: "accept" }, x: { name: "reject" }, n: { name: "skip" },
  o: { name: "event" }, z: { name: "zoom" }, "+": { name: "nearer" }, "=": { name: "nearer" }, "-": { name: "farther" },
  b: { name: "beat" }, Escape: { name: "leave" },
  Home: { name: "to", index: 0 }, End: { name: "to", index: Infinity },
};

export function footKeys() {
  return { ...FEET, ...JSON.parse(localStorage.getItem(STORE) ?? "null") ?? {} };
}

// With Alt they move the film that was zoomed, and are the browser's where it was not.
const SLIDES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export function keyOf(limb) {
  return Object.entries(footKeys()).find(([, foot]) => foot === limb)?.[0].toUpperCase() ?? "";
}

// Keep four keys of one's own; false where two feet would share one, or a key is taken.
export function setFootKeys(byFoot) {
  const keys = Object.values(byFoot).map((key) => key.toLowerCase());
  if (new Set(keys).size < 4 || keys.some((key) => key.length !== 1 || key in PLAIN)) return false;
  const unset = Object.fromEntries(Object.keys(FEET).map((key) => [key, null]));
  const chosen = Object.fromEntries(Object.entries(byFoot).map(([limb, key]) => [key.toLowerCase(), limb]));
  localStorage.setItem(STORE, JSON.stringify({ ...unset, ...chosen }));
  return true;
}

export function listen(target, holding = null) {
  addEventListener("keydown", (event) => {
    const act = meant(event);
    if (!act) return;
    event.preventDefault();
    if (!holding?.key(event, act)) target.dispatchEvent(new CustomEvent("act", { detail: act }));
  });
  addEventListener("keyup", (event) => holding?.keyUp(event));
}

function meant(event) {
  if (typing(event.target)) return null;
  if (event.altKey) return slide(event.key);
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (event.ctrlKey || event.metaKey) {
    if (key === "z") return { name: event.shiftKey ? "redo" : "undo" };
    return key === "y" ? { name: "redo" } : null;
  }
  if ((key === " " || key === "Enter") && event.target.closest("button, a, summary, [role=button]")) return null;
  if (key === "ArrowRight" || key === "ArrowLeft") {
    return { name: "step", by: (key === "ArrowRight" ? 1 : -1) * (event.shiftKey ? 10 : 1) };
  }
  const limb = footKeys()[key];
  if (limb) return event.repeat ? null : { name: "mark", limb, other: event.shiftKey };
  const act = PLAIN[key];
  return act && (!event.repeat || act.name === "nudge") ? act : null;
}

function slide(key) { return key in SLIDES && document.querySelector(".stage[data-near]") ? { name: "slide", by: SLIDES[key] } : null; }

function typing(element) {
  return element.closest("input:not([type=checkbox], [type=radio]), select, textarea, [contenteditable], [data-keys=own]") !== null;
}
