// What a form would come to, told while it is filled in: the server's own words, fetched anew at every change.
//
//   <evenfall-told form="setup" src="/horses/3/setups/preview" method="post"></evenfall-told>
//
// `method="get"` sends the form as a query and keeps it in the page's address. What is marked `data-short` in the answer
// (or that attribute's own words) is also said in the form's `[data-part=short]`. Without script the form works as it is, and tells after it was sent.

const PAUSE_MS = 250;

class Told extends HTMLElement {
  #asked = 0;
  #timer = 0;

  connectedCallback() {
    this.form = document.getElementById(this.getAttribute("form"));
    this.form.addEventListener("input", this.#later);
    if (this.get) this.form.addEventListener("submit", this.#instead);
    this.#short();
  }

  disconnectedCallback() {
    clearTimeout(this.#timer);
    this.form.removeEventListener("input", this.#later);
    this.form.removeEventListener("submit", this.#instead);
  }

  get get() { return this.getAttribute("method") !== "post"; }

  #later = () => {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), PAUSE_MS);
  };

  #instead = (event) => {
    event.preventDefault();
    clearTimeout(this.#timer);
    this.#ask();
  };

  async #ask() {
    const asked = ++this.#asked;
    this.setAttribute("aria-busy", "true");
    const answer = await this.#send().catch(() => null);
    if (asked !== this.#asked || !this.isConnected) return;
    this.removeAttribute("aria-busy");
    if (answer?.ok) this.innerHTML = await answer.text();
    else this.textContent = "Not reckoned: the barn's computer did not answer. What you wrote is still here.";
    this.#short();
    this.dispatchEvent(new CustomEvent("told", { bubbles: true }));
  }

  #send() {
    const sent = new URLSearchParams(new FormData(this.form));
    if (!this.get) return fetch(this.getAttribute("src"), { method: "POST", body: sent });
    for (const [name, value] of [...sent]) if (!value) sent.delete(name, value);
    history.replaceState(null, "", `${location.pathname}?${sent}`);
    return fetch(`${this.getAttribute("src")}?${sent}`);
  }

  #short() {
    const place = this.form.querySelector("[data-part=short]");
    const told = this.querySelector("[data-short]");
    if (place) place.textContent = told ? told.dataset.short || told.textContent : "";
  }
}

customElements.define("evenfall-told", Told);
