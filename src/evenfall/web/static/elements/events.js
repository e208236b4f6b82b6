// One stream of what goes on in the barn, for the whole page.
//
//   document.addEventListener("barn:marks", (event) => event.detail.clip …);
//
// Events on `document`: `barn:open` (connected, anew too: load again what is shown), `barn:job`, `barn:marks`,
// `barn:clip`, each with the data as its detail. A page that is hidden does not listen: browsers allow few
// connections to one host, over all its pages.

const NAMES = ["job", "marks", "clip"];
let stream = null;

function listen() {
  if (stream || document.hidden) return;
  stream = new EventSource("/api/events");
  stream.addEventListener("open", () => tell("open", null));
  for (const name of NAMES) stream.addEventListener(name, (event) => tell(name, JSON.parse(event.data)));
}

function leave() {
  stream?.close();
  stream = null;
}

function tell(name, detail) {
  document.dispatchEvent(new CustomEvent(`barn:${name}`, { detail }));
}

document.addEventListener("visibilitychange", () => (document.hidden ? leave() : listen()));
addEventListener("pagehide", leave);
addEventListener("pageshow", listen);
// not before every element of the page is there to hear it
document.addEventListener("DOMContentLoaded", listen);
