// One sketch: its parts put together about a field of a form. See DEVELOPERS.md for what its element may say.
import { CircleShape, Feature } from "../vendor/openlayers/ol.js";
import { Acts, NextPoint, Points, Shown, at, measures, metres } from "./panel.js";
import { Draft } from "./draft.js";
import { Fixes, here, told } from "./position.js";
import { Ground } from "./ground.js";
import { Reckoner, lies } from "./asking.js";
import { button, fresh, make } from "./dom.js";
import { distance, plain } from "./shape.js";
import { square } from "./squared.js";

const HOW = {
  draw: "Drawing: tap where the next one lies, drag to move the sheet. Or bring the cross over it and press “Point at the cross”, or the Enter key.",
  move: "Moving: drag one to its place. A side that is dragged gets a new one.",
  look: "Done. A finger on the sheet scrolls the page again.",
};
const ABOUT = "Arrow keys move the sheet, plus and minus zoom. While drawing, Enter puts a point at the cross in the middle and Escape ends. Every point can also be typed below.";
const WHAT = { polygon: "area", line: "line", point: "point" };

export class Board {
  constructor(element, fields, label) {
    const { draws, width, groundWords } = element.dataset;
    // what the ground says stands where the drawing is, not below all of it
    this.words = document.getElementById(groundWords) ?? make("div");
    this.element = element;
    this.form = fields[0].form;
    this.wide = width ? document.getElementById(width) : null;
    this.draft = new Draft(fields, draws, () => draws === "polygon" && !this.#band());
    this.#build(label);
    this.#wire();
    if (element.dataset.ground) this.#reckon(fields[0]);
    if (element.dataset.choose) this.#choose(element.dataset.choose);
    if (element.dataset.from) this.#fetch();
    document.addEventListener("sketch-again", () => element.dataset.from && this.#fetch(true));
    this.ground.fit();
    this.#refresh("");
  }

  #band() {
    const metres = Number(this.wide?.value.trim() || 0);
    return metres > 0 ? metres : 0;
  }

  #build(label) {
    const help = fresh("help");
    this.target = make("div", { class: "sketch-ground", tabindex: "0", role: "application", "aria-label": `Sketch: ${label}`, "aria-describedby": help });
    this.status = make("p", { class: "sketch-says", role: "status" });
    this.size = make("p", { class: "sketch-measures" });
    this.scale = make("p", { class: "form-text sketch-scale" });
    const zoom = make("div", { class: "sketch-zoom", role: "group", "aria-label": "The sheet" },
      button("+", () => this.ground.zoom(0.5), { "aria-label": "Nearer" }), button("−", () => this.ground.zoom(2), { "aria-label": "Farther" }), button("All", () => this.#fitAll(), { "aria-label": "Fit all" }));
    this.acts = new Acts(this.draft, this.#acts());
    this.points = new Points(this.draft);
    this.shown = new Shown();
    this.settings = make("div", { class: "sketch-set" }, this.#choice("Snap to corners and lines", "shapes"), this.#choice("Snap to 0.1 m", "grid"));
    this.element.append(make("div", { class: "sketch-frame" }, this.target, zoom), this.status, this.acts.node, this.size, this.words,
      ...(this.draft.fields.length > 1 ? [] : [new NextPoint(this.draft, (point) => this.#put(point, null)).node]), this.points.node, this.shown.node, this.settings, this.scale, make("p", { class: "visually-hidden", id: help }, ABOUT));
  }

  #choice(words, which) {
    const box = make("input", { type: "checkbox", class: "form-check-input", checked: true, id: fresh("snap") });
    box.addEventListener("input", (event) => event.stopPropagation());
    box.addEventListener("change", (event) => { event.stopPropagation(); this.ground.snapTo(which, box.checked); });
    return make("div", { class: "form-check" }, box, make("label", { class: "form-check-label", for: box.id }, words));
  }

  #acts() {
    const { draft } = this, toggle = (mode) => this.#enter(this.ground.mode === mode ? "look" : mode);
    return {
      say: (words) => this.#say(words), draw: () => toggle("draw"), move: () => toggle("move"), cross: () => this.ground.place(this.ground.middle()),
      undo: () => draft.undo(), redo: () => draft.redo(), last: () => draft.remove(draft.points.length - 1, "The last one is deleted."),
      clear: () => draft.put([], "All is cleared. “Undo” brings it back."), here: () => this.#here(),
    };
  }

  #wire() {
    const ground = this.ground = new Ground(this.target, this.draft, () => this.#band());
    ground.addEventListener("place", ({ detail }) => this.#put(detail.point, detail.caught));
    ground.addEventListener("closed", () => { this.#enter("look"); this.#say("Back at the first corner: the shape is closed."); });
    ground.addEventListener("moved", ({ detail }) => this.draft.put(detail.points, detail.added ? `There is a new ${this.draft.corner}.` : "It is moved."));
    ground.addEventListener("rewritten", ({ detail }) => this.draft.putText(detail, "It is moved."));
    ground.addEventListener("scale", () => this.#tellScale());
    this.#tellScale();
    this.draft.addEventListener("change", ({ detail }) => this.#refresh(detail));
    this.wide?.addEventListener("input", () => this.draft.again());
    this.target.addEventListener("keydown", (event) => this.#key(event));
    this.fixes = new Fixes(this.form, this.draft);
  }

  #enter(mode) {
    this.ground.enter(mode);
    this.acts.fill(mode);
    this.#say(HOW[mode]);
    if (mode !== "look") this.target.scrollIntoView({ block: "nearest" });
  }

  #key(event) {
    const keys = {
      Enter: () => (this.ground.mode === "draw" ? this.ground.place(this.ground.middle()) : this.#enter("draw")), Escape: () => this.#enter("look"),
      Backspace: () => this.acts.last.click(),
    };
    const undoing = (event.ctrlKey || event.metaKey) && { z: event.shiftKey ? this.acts.redo : this.acts.undo, y: this.acts.redo }[event.key.toLowerCase()];
    const act = undoing ? () => undoing.click() : keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  }

  // Gives why the point could not be put, or nothing.
  #put(point, caught) {
    const { points, single, corner } = this.draft, last = points.at(-1);
    const far = last && !single ? `, ${metres(distance(last, point))} from the last` : "";
    const held = caught ? `, caught by ${caught.get("label") || "what lies there"}` : "";
    const refused = this.draft.add(point, `${single ? "The point" : `${corner[0].toUpperCase()}${corner.slice(1)} ${points.length + 1}`}: ${at(point)}${far}${held}.`);
    if (refused) this.#say(refused);
    else this.ground.reveal(point);
    return refused;
  }

  async #here() {
    this.#say("Asking the phone where it is…");
    try {
      const fix = await here(this.grid);
      const refused = this.#put(fix.point, null);
      if (refused) return;
      this.fixes.keep(fix);
      this.#circle(fix);
      this.#say(told(fix, this.grid.good_within_m));
    } catch (trouble) {
      this.#say(trouble.message);
    }
  }

  #circle(fix) {
    const seen = new Feature(new CircleShape(fix.point, Math.max(fix.accuracy_m, 0.1)));
    seen.setProperties({ kind: "fix", label: `± ${plain(fix.accuracy_m, 1)} m` });
    this.ground.add(seen);
  }

  #fitAll() { this.ground.fit(); }

  #say(words) { this.status.textContent = words; }

  #refresh(says) {
    this.acts.fill(this.ground.mode);
    this.size.textContent = measures(this.draft);
    if (says) this.#say(says);
  }

  #tellScale() {
    const side = square(this.ground.map.getView().getResolution());
    this.scale.textContent = `A square of the grid is ${plain(side, 3)} m. North of the site’s grid is up.`;
  }

  #reckon(field) {
    const fields = () => {
      const sent = new FormData();
      for (const [name, value] of new FormData(this.form)) if (typeof value === "string") sent.append(name, value);
      sent.set("what", this.element.dataset.what || WHAT[this.draft.draws]);
      sent.set("shape", this.draft.fields.map((one) => one.value).join(" "));
      return sent;
    };
    this.reckoner = new Reckoner(this.element.dataset.ground, this.words, fields);
    this.draft.addEventListener("change", () => this.reckoner.later());
    this.form.addEventListener("change", ({ target }) => target !== field && this.reckoner.later());
  }

  // Whoever draws means the drawing: the form's choice of that value is marked.
  #choose(value) {
    const choice = this.form.querySelector(`input[type=radio][value="${value}"]`);
    this.draft.addEventListener("change", () => { if (choice && this.draft.points.length) choice.checked = true; });
  }

  async #fetch(afresh = false) {
    const data = await lies(this.element.dataset.from, afresh).catch(() => null);
    if (!data) return this.#say("What lies there could not be fetched. You can draw on the bare grid: what you draw stays in the form.");
    this.ground.show(data);
    this.fixes.standing().forEach((fix) => this.#circle(fix));
    this.shown.fill(data.features ?? []);
    this.grid = data.grid;
    this.acts.here.hidden = !data.grid;
    if (data.underlay && !this.opacity) this.#offerOpacity();
    return afresh || this.ground.fit();
  }

  #offerOpacity() {
    this.opacity = make("input", { type: "range", min: "0", max: "100", value: "60", class: "sketch-range", id: fresh("underlay") });
    this.opacity.addEventListener("input", (event) => { event.stopPropagation(); this.ground.fade(this.opacity.value / 100); });
    this.settings.append(make("div", {}, make("label", { for: this.opacity.id }, "Strength of the picture beneath"), this.opacity));
  }
}
