// What stands about the ground: the buttons, the words, the next point by numbers, the points one by one, and what is shown.
import { area, away, bearing, distance, long, plain, stretches } from "./shape.js";
import { button, fresh, idle, make } from "./dom.js";
import { WORDS } from "./looks.js";

const NUMBER = /^-?[0-9]+(\.[0-9]+)?$/;
export const at = ([x, y]) => `${plain(x, 3)} east, ${plain(y, 3)} north`;
export const metres = (number) => `${number.toFixed(2)} m`;
export const counted = (number, noun) => `${number} ${noun}${number === 1 ? "" : "s"}`;

// The measures of what is drawn, in words. They are of the drawing alone: what it means for the ground, the server says.
export function measures(draft) {
  if (draft.fault) return draft.fault;
  if (draft.wkt) return "A shape of several parts, or with a hole. Its corners can be moved here; to draw it anew, clear it first.";
  const { points } = draft, closed = draft.closed();
  if (!points.length) return `Nothing is drawn yet. Press “Draw” and tap where the first ${draft.corner} lies, or type it below.`;
  if (draft.single) return `The point is at ${at(points[0])}.`;
  const size = closed && points.length > 2 ? `, ${metres(long(points, true))} round, ${area(points).toFixed(2)} m² as drawn` : `, ${metres(long(points, false))} long as drawn`;
  return `${counted(points.length, draft.corner)}${size}.${closed && points.length < 3 ? " Three corners at least make an area." : ""}`;
}

export class Points {
  constructor(draft, say) {
    Object.assign(this, { draft, say });
    this.list = make("ol", { class: "sketch-points" });
    this.head = make("summary");
    this.node = make("details", { class: "sketch-fold" }, this.head, this.list);
    draft.addEventListener("change", () => this.fill());
    this.fill();
  }

  fill() {
    const { points } = this.draft, closed = this.draft.closed();
    this.node.hidden = !points.length || this.draft.single;
    this.head.textContent = `The ${this.draft.corner}s one by one (${points.length})`;
    this.list.replaceChildren(...points.map((point, place) => this.#line(point, place)));
    const last = stretches(points, closed).at(-1);
    if (closed && points.length > 2) this.list.append(make("li", { class: "sketch-back" }, `back to the first: ${metres(distance(...last))}`));
  }

  #line(point, place) {
    const { points, corner } = this.draft, before = points[place - 1];
    const far = before ? `; ${metres(distance(before, point))} at ${bearing(before, point).toFixed(0)}° from the one before` : "";
    const remove = button("Remove", () => this.#remove(place), { "aria-label": `Remove ${corner} ${place + 1}` });
    return make("li", {}, make("span", {}, `${at(point)}${far}`), remove);
  }

  // The keyboard stays in the list.
  #remove(place) {
    this.draft.remove(place, `${this.draft.corner} ${place + 1} is removed.`);
    (this.list.querySelectorAll("button")[Math.min(place, this.draft.points.length - 1)] ?? this.head).focus();
  }
}

export class NextPoint {
  // `put` takes a point and gives why it could not be put, or nothing.
  constructor(draft, put) {
    Object.assign(this, { draft, put });
    this.fault = make("p", { class: "invalid-feedback d-block", id: fresh("fault"), role: "alert" });
    const legend = draft.single ? "The point, by numbers" : `The next ${draft.corner}, by numbers`;
    this.node = make("fieldset", { class: "sketch-next" }, make("legend", {}, legend),
      this.#pair(["East, metres", "North, metres"], ([x, y]) => [x, y], "Put it there"),
      draft.single ? "" : this.#pair(["Metres from the last", "Bearing, degrees"], ([far, turn]) => this.#from(far, turn), "Put it so far away"), this.fault);
  }

  #from(far, turn) {
    const last = this.draft.points.at(-1);
    return last ? away(last, far, turn) : `There is no last ${this.draft.corner} yet: give the first by east and north.`;
  }

  #pair(labels, meant, words) {
    const fields = labels.map(() => make("input", { type: "text", inputmode: "decimal", autocomplete: "off", class: "form-control", id: fresh("number"), "aria-describedby": this.fault.id }));
    const go = () => this.#go(fields, meant);
    // within a form the Enter key would hand the form in
    for (const field of fields) field.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); go(); } });
    // what is typed here is no change of the form
    for (const field of fields) field.addEventListener("input", (event) => event.stopPropagation());
    return make("div", { class: "sketch-pair" }, ...labels.map((label, place) => make("div", {}, make("label", { class: "form-label", for: fields[place].id }, label), fields[place])), button(words, go));
  }

  #go(fields, meant) {
    const wrong = fields.filter((field) => !NUMBER.test(field.value.trim()));
    for (const field of fields) field.setAttribute("aria-invalid", String(wrong.includes(field)));
    const found = wrong.length ? "A plain number was expected, such as 12.5." : meant(fields.map((field) => Number(field.value.trim())));
    this.fault.textContent = typeof found === "string" ? found : this.put(found);
    if (this.fault.textContent) return (wrong[0] ?? fields[0]).focus();
    for (const field of fields) field.value = "";
    return fields[0].focus();
  }
}

// What lies there, in words: what the drawing shows, for whoever cannot see it.
export class Shown {
  constructor() {
    this.list = make("ul");
    this.node = make("details", { class: "sketch-fold", hidden: true }, make("summary", {}, "What is shown"), this.list);
  }

  fill(features) {
    const kinds = Object.keys(WORDS).map((kind) => [kind, features.filter((one) => one.properties?.kind === kind)]).filter(([, some]) => some.length);
    this.node.hidden = !kinds.length;
    this.list.replaceChildren(...kinds.map(([kind, some]) => make("li", {}, `${WORDS[kind]}${said(some)}`)));
  }
}

const said = (features) => {
  const labels = features.map((one) => one.properties.label).filter(Boolean);
  return labels.length ? `: ${labels.join("; ")}` : features.length > 1 ? ` (${features.length})` : "";
};

export class Acts {
  constructor(draft, acts) {
    Object.assign(this, { draft });
    const of = (words, act) => button(words, (pressed) => (pressed.dataset.why ? acts.say(pressed.dataset.why) : act()));
    this.draw = of("Draw", acts.draw);
    this.move = of("Move corners", acts.move);
    this.cross = of("Point at the cross", acts.cross);
    this.undo = of("Undo", acts.undo);
    this.redo = of("Redo", acts.redo);
    this.last = of("Delete the last", acts.last);
    this.clear = of("Clear", acts.clear);
    this.here = of("My position", acts.here);
    this.cross.hidden = this.here.hidden = true;
    this.cross.classList.add("main");
    this.node = make("div", { class: "sketch-acts", role: "group", "aria-label": "Drawing" }, this.draw, this.move, this.cross, this.undo, this.redo, this.last, this.clear, this.here);
  }

  fill(mode) {
    const { draft } = this, nothing = !draft.points.length && !draft.wkt;
    this.draw.textContent = mode === "draw" ? "Done drawing" : "Draw";
    this.move.textContent = mode === "move" ? "Done moving" : `Move ${draft.single ? "it" : `${draft.corner}s`}`;
    this.cross.hidden = mode !== "draw";
    for (const one of [this.draw, this.move]) one.classList.remove("main");
    if (mode !== "look") this[mode].classList.add("main");
    idle(this.draw, draft.wkt && mode !== "draw" ? "The shape has several parts: clear it first to draw anew." : "");
    idle(this.move, nothing && mode !== "move" ? "There is nothing to move yet." : "");
    idle(this.undo, draft.done.length < 2 ? "There is nothing to undo." : "");
    idle(this.redo, draft.undone.length ? "" : "There is nothing to do again.");
    idle(this.last, draft.points.length ? "" : "There is no point to delete.");
    idle(this.clear, nothing && !draft.fault ? "There is nothing to clear." : "");
    this.last.hidden = draft.single;
  }
}
