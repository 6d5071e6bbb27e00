// The shape that is drawn: the form's own field is its only store, so that what is typed and what is drawn are one. Every change can be undone.
import { fits, read, same, write } from "./shape.js";

const PAUSE = 1500; // what is typed without such a pause (milliseconds) is one change
const MOST = 200;

export class Draft extends EventTarget {
  // `fields`: the one with the text, or two of which one holds x and the other y. `closed` is asked at each reading.
  constructor(fields, draws, closed) {
    super();
    Object.assign(this, { fields, draws, closed, undone: [], typed: 0 });
    this.done = [this.#text()];
    for (const field of fields) field.addEventListener("input", () => this.#typing());
    this.#read();
  }

  get single() { return this.draws === "point"; }
  get corner() { return this.closed() ? "corner" : "point"; }

  #text() {
    const values = this.fields.map((field) => field.value.trim());
    return this.fields.length > 1 && values.every((value) => !value) ? "" : values.join(" ");
  }

  #read() {
    const { points, wkt = "", fault = "" } = read(this.#text(), this.closed());
    Object.assign(this, { points, wkt, fault });
  }

  #typing() {
    if (this.writing) return;
    const now = performance.now();
    if (this.done.length > 1 && now - this.typed < PAUSE) this.done.pop();
    this.typed = now;
    this.#keep(this.#text());
    this.#tell("");
  }

  #keep(text) {
    if (this.done.at(-1) !== text) this.done.push(text);
    this.done.splice(0, this.done.length - MOST);
    this.undone = [];
  }

  // Read again, since what the shape is has changed.
  again() { this.#tell(""); }

  #tell(says) {
    this.#read();
    this.dispatchEvent(new CustomEvent("change", { detail: says }));
  }

  // Write a text into the form, so that whoever listens to the field hears of it.
  #write(text, says) {
    this.writing = true;
    const values = this.fields.length > 1 ? [...text.split(" "), "", ""] : [text];
    this.fields.forEach((field, place) => {
      field.value = values[place];
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
    this.writing = false;
    this.#tell(says);
  }

  put(points, says) { this.putText(write(this.single ? points.slice(-1) : points), says); }

  putText(text, says) {
    this.typed = 0;
    this.#keep(text);
    this.#write(text, says);
  }

  // Puts a point after the last. Gives why not, in words, or nothing.
  add(point, says) {
    if (this.wkt) return "The shape has several parts: clear it first, or change its text.";
    if (!fits(point)) return "That is more than 100 km from the grid’s origin.";
    if (this.points.length && same(point, this.points.at(-1))) return "There is a point there already.";
    this.put([...this.points, point], says);
    return "";
  }

  remove(place, says) { this.put(this.points.filter((_, each) => each !== place), says); }

  undo() {
    if (this.done.length < 2) return false;
    this.undone.push(this.done.pop());
    this.#write(this.done.at(-1), "Undone.");
    return true;
  }

  redo() {
    if (!this.undone.length) return false;
    this.done.push(this.undone.pop());
    this.#write(this.done.at(-1), "Done again.");
    return true;
  }
}
