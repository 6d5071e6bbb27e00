// Making parts of a page. Text is only ever text.
export function make(tag, given = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (name === "on") for (const [event, act] of Object.entries(value)) made.addEventListener(event, act);
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== null) made.setAttribute(name, value);
  }
  made.append(...inside);
  return made;
}

let count = 0;
export const fresh = (word) => `sketch-${word}-${++count}`;

// A button keeps the keyboard's place when it has nothing to do, so it is never `disabled`; pressed then, it says why.
export function idle(button, why) {
  button.setAttribute("aria-disabled", why ? "true" : "false");
  button.dataset.why = why || "";
}

export function button(words, act, given = {}) {
  const made = make("button", { type: "button", class: "sketch-act", ...given }, words);
  made.addEventListener("click", () => act(made));
  return made;
}
