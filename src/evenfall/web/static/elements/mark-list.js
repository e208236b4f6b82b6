// Every mark as a table row: foot, what it does, when, who says so; a press on it goes there.
//
// Event `act`: {name: "select", id}.

import { eventName, footName, inSeconds } from "./feet.js";
import { tied } from "./words.js";

export class MarkList extends EventTarget {
  #root;
  #seen = "";

  constructor(root) {
    super();
    this.#root = root;
    root.addEventListener("click", (event) => {
      const id = event.target.closest("[data-go]")?.dataset.go;
      if (id) this.dispatchEvent(new CustomEvent("act", { detail: { name: "select", id } }));
    });
  }

  show(marks, check, pictureOf) {
    const seen = JSON.stringify([marks.map((mark) => [mark.id, mark.time_s, mark.rejected]), [...check]]);
    if (seen === this.#seen) return;
    this.#seen = seen;
    this.#root.querySelector("[data-part=count]").textContent = marks.length === 1 ? "1 mark" : `${marks.length} marks`;
    this.#root.querySelector("tbody").replaceChildren(...marks.map((mark) => row(mark, check.has(mark.id), pictureOf(mark.time_s))));
  }
}

function row(mark, asks, picture) {
  const line = document.createElement("tr");
  const go = document.createElement("button");
  go.type = "button";
  go.dataset.go = mark.id;
  go.textContent = `${footName(mark.limb)} ${eventName(mark.event)}`;
  const cells = [go, tied(inSeconds(mark.time_s)), String(picture + 1), tied(says(mark, asks))];
  line.append(...cells.map((content) => {
    const cell = document.createElement("td");
    cell.append(content);
    return cell;
  }));
  return line;
}

function says(mark, asks) {
  if (mark.rejected) return "rejected";
  if (mark.by === "person") return mark.stands_for ? "checked by hand" : "by hand";
  const sure = mark.source.includes("inferred") ? "expected, not seen" : `film, sureness ${Math.round(100 * mark.confidence)} %`;
  return asks ? `${sure}: to check` : sure;
}
