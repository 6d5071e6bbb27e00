// What is asked of the server: what lies there, and what a shape that is being drawn would mean there.
const PAUSE = 500; // milliseconds without a change before it is asked
const TOKEN = /(?:^|; )(?:__Host-csrf|csrftoken)=([^;]+)/;
const held = new Map();

// sketch.json, asked once for all sketches of a page. Rejects where it cannot be had.
export function lies(address, afresh = false) {
  if (afresh || !held.has(address)) {
    const asked = fetch(address, { credentials: "same-origin", headers: { Accept: "application/json" } }).then((answer) => {
      if (answer.redirected || !answer.ok) throw new Error(answer.status);
      return answer.json();
    });
    asked.catch(() => held.delete(address));
    held.set(address, asked);
  }
  return held.get(address);
}

// Posts the draft, a while after each change, and shows the fragment that comes back.
export class Reckoner {
  constructor(address, place, fields) {
    Object.assign(this, { address, place, fields });
    if (!place.hasAttribute("aria-live") && !place.hasAttribute("role")) place.setAttribute("aria-live", "polite");
    addEventListener("online", () => this.late && this.ask());
  }

  later() {
    this.underway?.abort();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), PAUSE);
  }

  async ask() {
    this.underway?.abort();
    this.underway = new AbortController();
    this.late = false;
    const token = TOKEN.exec(document.cookie)?.[1] ?? document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
    try {
      const sent = { method: "POST", body: this.fields(), signal: this.underway.signal, credentials: "same-origin", headers: { "X-CSRFToken": token } };
      const answer = await fetch(this.address, sent);
      if (answer.redirected || !answer.ok) throw new Error(answer.status);
      this.place.replaceChildren(...new DOMParser().parseFromString(await answer.text(), "text/html").body.childNodes);
    } catch (trouble) {
      if (trouble.name !== "AbortError") this.#missed();
    }
  }

  // Old words beside a new shape would mislead, so they go.
  #missed() {
    this.late = true;
    const why = navigator.onLine ? "The server could not be asked" : "There is no connection";
    this.place.replaceChildren(Object.assign(document.createElement("p"), {
      className: "mind", textContent: `${why}, so what this leaves to sweep and where to dig by hand is not reckoned. What you draw stays in the form.`,
    }));
  }
}
