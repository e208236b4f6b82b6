// Films chosen, dropped or filmed, and each one's way into the barn.
//
//   <evenfall-upload outing="3" largest="4294967296"> … parts choose, camera, films, live … </evenfall-upload>
//
// Two films travel at once; the rest wait. Leaving the page loses nothing: the same film chosen again goes on.

import { Sending } from "evenfall/sending.js";

const AT_ONCE = 2;
const BUSY = ["sending", "lost", "finishing"];

class Upload extends HTMLElement {
  #sendings = [];

  connectedCallback() {
    for (const part of ["choose", "camera"]) {
      const input = this.#part(part);
      if (!input) continue; // no filming now where the horse is to be left alone
      const take = () => { this.#take(input.files); input.value = ""; };
      input.addEventListener("change", take);
      if (input.files.length) take(); // chosen before this script was here
    }
    const drop = this.querySelector(".drop");
    for (const name of ["dragenter", "dragover"]) {
      drop.addEventListener(name, (event) => { event.preventDefault(); drop.classList.add("is-over"); });
    }
    drop.addEventListener("dragleave", (event) => { if (!drop.contains(event.relatedTarget)) drop.classList.remove("is-over"); });
    drop.addEventListener("drop", (event) => {
      event.preventDefault();
      drop.classList.remove("is-over");
      this.#take(event.dataTransfer.files);
    });
    addEventListener("online", () => { for (const each of this.#sendings) each.hurry(); });
    addEventListener("beforeunload", (event) => { if (this.#sendings.some((each) => BUSY.includes(each.state))) event.preventDefault(); });
  }

  #take(files) {
    for (const file of files) {
      const sending = new Sending(file, { outing: Number(this.getAttribute("outing")) });
      const row = new Row(sending, Number(this.getAttribute("largest")));
      this.#part("films").append(row.element);
      if (row.refused) { this.#say(row.refused); continue; }
      this.#sendings.push(sending);
      sending.addEventListener("change", () => this.#next());
      sending.addEventListener("done", () => this.#say(`${file.name} is in.`));
      sending.addEventListener("refused", (event) => this.#say(event.detail.message));
    }
    this.#next();
  }

  #next() {
    const busy = this.#sendings.filter((each) => BUSY.includes(each.state)).length;
    const waiting = this.#sendings.filter((each) => each.state === "waiting");
    for (const sending of waiting.slice(0, Math.max(0, AT_ONCE - busy))) sending.start();
  }

  #say(words) { this.#part("live").textContent = words; }
  #part(name) { return this.querySelector(`[data-part=${name}]`); }
}

class Row {
  element = document.createElement("li");
  refused = "";
  #sending;
  #says = Object.assign(document.createElement("p"), { className: "says" });
  #bar = Object.assign(document.createElement("progress"), { max: 1, value: 0 });
  #acts = Object.assign(document.createElement("div"), { className: "row" });

  constructor(sending, largest) {
    this.#sending = sending;
    const name = Object.assign(document.createElement("p"), { className: "name", textContent: sending.name });
    this.#bar.setAttribute("aria-label", `${sending.name}: how much of it is in`);
    this.element.append(name, this.#bar, this.#says, this.#acts);
    if (sending.size === 0 || sending.size > largest) {
      this.refused = sending.size === 0
        ? `${sending.name} is empty. Copy it from the phone again.`
        : `${sending.name} is ${amount(sending.size)}; at most ${amount(largest)} are taken. Film a shorter pass, or cut it.`;
      this.#refuse(this.refused);
      return;
    }
    sending.addEventListener("change", () => this.#show());
    sending.addEventListener("done", (event) => this.#done(event.detail));
    sending.addEventListener("refused", (event) => this.#refuse(event.detail.message));
    this.#show();
  }

  #show() {
    const { state, sent, size } = this.#sending;
    this.#bar.value = sent / size;
    this.#bar.hidden = state === "cancelled";
    const part = `${amount(sent)} of ${amount(size)}`;
    this.#says.textContent = {
      waiting: "Waits its turn.",
      sending: `${part} is in.`,
      paused: `Paused; ${part} is in.`,
      lost: `The connection is lost; it is tried again by itself. ${part} is in.`,
      finishing: "All of it is in; the barn's computer looks at it.",
      cancelled: "Given up; nothing of it was kept.",
    }[state] ?? this.#says.textContent;
    this.#offer(state);
  }

  #offer(state) {
    const acts = {
      sending: ["Pause", "Give up"], lost: ["Try now", "Give up"], paused: ["Go on", "Give up"], waiting: ["Give up"],
    }[state] ?? [];
    const shown = [...this.#acts.children].map((button) => button.textContent);
    if (shown.join() === acts.join()) return;
    const held = shown.length > 0 && this.#acts.contains(document.activeElement);
    this.#acts.replaceChildren(...acts.map((words) => this.#button(words)));
    if (held) this.#acts.querySelector("button")?.focus();
  }

  #button(words) {
    const does = {
      Pause: () => this.#sending.pause(), "Go on": () => this.#sending.start(),
      "Try now": () => this.#sending.hurry(), "Give up": () => this.#sending.cancel(),
    };
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: words });
    button.setAttribute("aria-label", `${words}: ${this.#sending.name}`);
    button.addEventListener("click", does[words]);
    return button;
  }

  #done({ clip, duplicate }) {
    this.#says.textContent = duplicate ? "This very film is in the barn already; it was not kept twice." : "It is in, and is being made ready.";
    const open = Object.assign(document.createElement("a"), { className: "button", href: `/film/${clip}`, textContent: "Open the film" });
    open.setAttribute("aria-label", `Open the film ${this.#sending.name}`);
    this.#bar.hidden = true;
    this.#acts.replaceChildren(open);
  }

  #refuse(message) {
    this.element.classList.add("is-refused");
    this.#says.textContent = message;
    this.#bar.hidden = true;
    this.#acts.replaceChildren();
  }
}

// 1.2 GB, 340 MB, 1.6 MB, 12 kB
function amount(bytes) {
  const [unit, size] = bytes >= 2 ** 30 ? ["GB", 2 ** 30] : bytes >= 2 ** 20 ? ["MB", 2 ** 20] : ["kB", 1024];
  const number = bytes / size;
  return `${number < 10 && unit !== "kB" ? number.toFixed(1) : Math.round(number)} ${unit}`;
}

customElements.define("evenfall-upload", Upload);
