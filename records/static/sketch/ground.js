// The ground that is drawn on: the map, its three ways of being touched (look, draw, move), and snapping.
import {
  Collection, DragPan, Feature, GeoJSON, ImageLayer, ImageStatic, KeyboardPan, KeyboardZoom, LineString, Map as Sheet, Modify, MouseWheelZoom, PinchZoom, Point, Polygon,
  Projection, Snap, VectorLayer, VectorSource, View, WKT,
} from "../vendor/openlayers/ol.js";
import { ahead, aheadStyle, onLight, ownStyle, styleOf, tokens } from "./looks.js";
import { beneath, over, tags } from "./squared.js";
import { FARTHEST, distance, rounded, same } from "./shape.js";

// A sheet that is folded away has no size: it keeps the one it had.
class Folding extends Sheet {
  updateSize() {
    if (this.getTargetElement()?.clientHeight) super.updateSize();
  }
}

const GRID = new Projection({ code: "site-grid", units: "m", extent: [-FARTHEST, -FARTHEST, FARTHEST, FARTHEST] });
const HELD = ["outline", "needed", "swept", "trace", "hole", "planned"]; // what a point is caught by
const COARSE = matchMedia("(pointer: coarse)");
const NEAR = () => (COARSE.matches ? 22 : 12); // pixels
const FINE = 0.1, MILLIMETRE = 0.001, WIDE = 40; // metres
const MARGIN = [44, 44, 44, 44];
const ADRIFT = 4; // pixels that a corner must be dragged to count as moved

export class Ground extends EventTarget {
  constructor(target, draft, band) {
    super();
    Object.assign(this, { target, draft, band, mode: "look", snaps: { shapes: true, grid: true } });
    this.light = tokens();
    this.#layers();
    this.#interactions();
    const view = new View({ projection: GRID, center: [0, 0], resolution: WIDE / 320, minResolution: 0.002, maxResolution: 50, enableRotation: false, constrainOnlyCenter: true });
    this.map = new Folding({ target, view, controls: [], interactions: this.interactions, layers: this.layers, keyboardEventTarget: target });
    this.map.on("click", (event) => this.mode === "draw" && this.place(event.coordinate));
    this.map.on("pointermove", (event) => this.#ahead(event.dragging ? null : event.coordinate));
    view.on("change:resolution", () => this.dispatchEvent(new Event("scale")));
    draft.addEventListener("change", () => this.redraw());
    onLight(() => { this.light = tokens(); this.there.changed(); this.redraw(); this.map.render(); });
    this.redraw();
  }

  #layers() {
    this.there = new VectorSource();
    this.caught = new VectorSource();
    this.own = new Feature();
    this.next = new Feature();
    const lying = new VectorLayer({ source: this.there, style: (feature) => styleOf(this.light, feature), zIndex: 10 });
    const drawn = new VectorLayer({ source: new VectorSource({ features: [this.own, this.next] }), zIndex: 20, updateWhileInteracting: true, updateWhileAnimating: true });
    this.underlay = new ImageLayer({ zIndex: 1, opacity: 0.6 });
    const words = tags(() => this.there.getFeatures(), (point) => this.map.getPixelFromCoordinate(point));
    this.layers = [beneath(), this.underlay, lying, words, drawn, over(() => this.mode === "draw")];
  }

  #interactions() {
    const busy = () => this.mode !== "look";
    // while it is only looked at, one finger scrolls the page, and so does the wheel
    const drag = new DragPan({ condition: (event) => busy() || event.originalEvent.pointerType !== "touch" || event.activePointers?.length > 1 });
    const wheel = new MouseWheelZoom({ condition: (event) => busy() || event.originalEvent.ctrlKey, duration: 0 });
    const mine = new Collection([this.own]);
    this.modify = new Modify({ features: mine, pixelTolerance: NEAR(), deleteCondition: () => false, style: null });
    this.snap = new Snap({ source: this.caught, pixelTolerance: NEAR() });
    this.modify.on("modifystart", ({ mapBrowserEvent }) => { this.before = { points: this.draft.points, pixel: mapBrowserEvent.pixel }; });
    this.modify.on("modifyend", ({ mapBrowserEvent }) => this.#moved(mapBrowserEvent.pixel));
    this.interactions = [drag, new PinchZoom({ duration: 0 }), wheel, new KeyboardPan({ duration: 0, pixelDelta: 32 }), new KeyboardZoom({ duration: 0 }), this.modify, this.snap];
    this.enter("look");
  }

  enter(mode) {
    this.mode = mode;
    this.modify.setActive(mode === "move");
    this.snap.setActive(mode === "move" && this.snaps.shapes);
    this.target.dataset.mode = mode;
    if (this.map) this.redraw();
  }

  snapTo(which, on) {
    this.snaps[which] = on;
    this.enter(this.mode);
  }

  // The point that is meant: caught by what lies there, or on the grid.
  settled(coordinate) {
    const found = this.snaps.shapes ? this.snap.snapTo(this.map.getPixelFromCoordinate(coordinate), coordinate, this.map) : null;
    const step = this.snaps.grid && !found ? FINE : MILLIMETRE;
    return { point: (found?.vertex ?? coordinate).slice(0, 2).map((one) => rounded(one, step)), caught: found?.feature ?? null };
  }

  place(coordinate) {
    const first = this.draft.points[0];
    const closing = this.draft.closed() && this.draft.points.length > 2 && distance(coordinate, first) / this.map.getView().getResolution() < NEAR();
    this.dispatchEvent(closing ? new Event("closed") : new CustomEvent("place", { detail: this.settled(coordinate) }));
  }

  middle() { return this.map.getView().getCenter(); }

  // The shape that the draft holds. Gives nothing where its text is not to be read.
  redraw() {
    const { points, wkt } = this.draft;
    this.own.setStyle(ownStyle(this.light, this.draft, this.band(), this.mode === "move"));
    this.next.setStyle(aheadStyle(this.light));
    this.own.setGeometry(wkt ? several(wkt) : simple(points, this.draft.closed()));
    this.#ahead(null);
    this.map?.render();
  }

  // While drawing with a mouse, the stretch to where it points.
  #ahead(coordinate) {
    const last = this.draft.points.at(-1);
    const shown = coordinate && last && this.mode === "draw" && !this.draft.single;
    this.next.setGeometry(shown ? ahead([last, this.settled(coordinate).point]) : null);
  }

  // A finger that only rested on a corner, or tapped a side, moves nothing.
  #moved(pixel) {
    if (distance(pixel, this.before.pixel) < ADRIFT) return this.redraw();
    const shape = this.own.getGeometry();
    if (this.draft.wkt) return this.dispatchEvent(new CustomEvent("rewritten", { detail: new WKT().writeGeometry(shape, { decimals: 3 }) }));
    const { points: before } = this.before;
    const points = pointsOf(shape).map((point) => before.find((one) => same(one, point)) ?? this.settled(point).point);
    return this.dispatchEvent(new CustomEvent("moved", { detail: { points, added: points.length > before.length } }));
  }

  // What lies there, as sketch.json tells it.
  show(told) {
    const features = new GeoJSON({ dataProjection: GRID, featureProjection: GRID }).readFeatures({ type: "FeatureCollection", features: told.features ?? [] });
    for (const source of [this.there, this.caught]) source.clear();
    this.there.addFeatures(features);
    this.caught.addFeatures(features.filter((feature) => HELD.includes(feature.get("kind"))));
    const picture = told.underlay;
    this.underlay.setSource(picture ? new ImageStatic({ url: picture.src, imageExtent: picture.extent, projection: GRID }) : null);
  }

  add(feature) { this.there.addFeature(feature); }
  fade(share) { this.underlay.setOpacity(share); }

  zoom(by) {
    const view = this.map.getView();
    view.setResolution(view.getResolution() * by);
  }

  // Everything in sight; where there is nothing yet, some metres about the grid's origin.
  fit() {
    const shapes = [...this.there.getFeatures(), this.own].map((one) => one.getGeometry()).filter((one) => one && one.getExtent().every(Number.isFinite));
    if (!shapes.length) return;
    const boxes = shapes.map((one) => one.getExtent());
    const least = [0, 1].map((place) => Math.min(...boxes.map((box) => box[place])));
    const most = [2, 3].map((place) => Math.max(...boxes.map((box) => box[place])));
    this.map.updateSize();
    this.map.getView().fit([...least, ...most], { padding: MARGIN, minResolution: 0.01, size: this.map.getSize() });
  }

  // Brings a point into sight, if it is not.
  reveal(point) {
    const [x, y] = this.map.getPixelFromCoordinate(point) ?? [-1, -1];
    const [width, height] = this.map.getSize() ?? [0, 0];
    if (x < 0 || y < 0 || x > width || y > height) this.map.getView().setCenter(point);
  }
}

function simple(points, closed) {
  if (!points.length) return null;
  if (points.length === 1) return new Point(points[0]);
  return closed && points.length > 2 ? new Polygon([[...points, points[0]]]) : new LineString(points);
}

function several(wkt) {
  try {
    return new WKT().readGeometry(wkt);
  } catch {
    return null;
  }
}

function pointsOf(shape) {
  const found = shape.getCoordinates();
  if (shape.getType() === "Point") return [found];
  return shape.getType() === "Polygon" ? found[0].slice(0, -1) : found;
}
