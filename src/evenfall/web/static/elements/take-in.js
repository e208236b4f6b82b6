// A horse's file on its way in, piece by piece; once it is all here the page shows what is in it.
//
//   <evenfall-take-in largest="68719476736"> … parts choose, coming (name, progress, stop), says … </evenfall-take-in>

import { Sending } from "evenfall/sending.js";

class TakeIn extends HTMLElement {
  #sending = null;

  connectedCallback() {
    const input = this.#part("choose");
    const take = () => { if (input.files.length) this.#take(input.files[0]); input.value = ""; };
    input.addEventListener("change", take);
    take(); // chosen before this script was here
    this.#part("stop").addEventListener("click", () => this.#sending?.cancel());
    addEventListener("online", () => this.#sending?.hurry());
  }

  #take(file) {
    this.#sending?.pause();
    if (file.size === 0 || file.size > Number(this.getAttribute("largest"))) {
      this.#say(`${file.name} is ${file.size === 0 ? "empty" : "too large"}. Choose the file that the other barn wrote.`);
      return;
    }
    const sending = new Sending(file, { begin: "/api/take-in" });
    this.#sending = sending;
    this.#part("name").textContent = file.name;
    sending.addEventListener("change", () => { if (sending === this.#sending) this.#show(sending); });
    sending.addEventListener("done", (event) => { location.assign(event.detail.look); });
    sending.addEventListener("refused", (event) => this.#say(event.detail.message));
    sending.start();
  }

  #show({ state, sent, size }) {
    this.#part("coming").hidden = !["sending", "lost", "finishing", "done"].includes(state);
    this.querySelector("progress").value = sent / size;
    this.#say({
      sending: "It is on its way.",
      lost: "The connection is lost; it is tried again by itself.",
      finishing: "All of it is here.",
      done: "All of it is here; the barn's computer looks it through.",
      cancelled: "Given up; nothing of it was kept.",
    }[state] ?? "");
  }

  #say(words) {
    const says = this.#part("says");
    if (says.textContent !== words) says.textContent = words;
  }

  #part(name) { return this.querySelector(`[data-part=${name}]`); }
}

customElements.define("evenfall-take-in", TakeIn);
