// The four feet: names, signs and places, the same on every part of the page.

export const FEET = ["LH", "LF", "RH", "RF"]; // rows: each side with its hind first
export const PLAN = ["LF", "RF", "LH", "RH"]; // from above, the head ahead

const LONG = { LF: "left fore", RF: "right fore", LH: "left hind", RH: "right hind" };
const TRADE = { LF: "near fore", RF: "off fore", LH: "near hind", RH: "off hind" };
const DOES = { on: "landing", off: "lift-off" };

export function footName(limb) {
  return document.documentElement.dataset.sides === "near-off" ? TRADE[limb] : LONG[limb];
}

// Two letters for the head of a row: LF, or NF where the barn says near and off. Files keep LF.
export function footCode(limb) {
  return document.documentElement.dataset.sides === "near-off" ? (limb[0] === "L" ? "N" : "O") + limb[1] : limb;
}

export function eventName(event) { return DOES[event]; }

export function isHind(limb) { return limb[1] === "H"; }

// A triangle for a fore, a square for a hind; it fits a box of ±size around 0,0.
export function signPath(limb, size) {
  return isHind(limb)
    ? `M${-size} ${-size}H${size}V${size}H${-size}Z`
    : `M0 ${-size * 1.15}L${size * 1.15} ${size}H${-size * 1.15}Z`;
}

export function inSeconds(time_s) { return `${time_s.toFixed(3)} s`; }

// "left fore landing at 1.233 s, found in the film, sureness 62 %, to check"
export function sayMark(mark, { check = false } = {}) {
  const whose = mark.by === "person"
    ? (mark.rejected ? "rejected" : mark.stands_for ? "checked" : "marked by hand")
    : (mark.source.includes("inferred") ? "expected, not seen" : `found in the film, sureness ${Math.round(100 * mark.confidence)} %`);
  return `${footName(mark.limb)} ${DOES[mark.event]} at ${inSeconds(mark.time_s)}, ${whose}${check ? ", to check" : ""}`;
}
