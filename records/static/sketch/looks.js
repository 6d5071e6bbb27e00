// How things are drawn: in the colours of tokens.css, in whatever light is chosen. Colour never stands alone: each kind has lines or hatching of its own, and words beside it.
import { Circle, Fill, LineString, Point, RegularShape, Stroke, Style, Text } from "../vendor/openlayers/ol.js";
import { distance, stretches } from "./shape.js";

const NAMES = ["paper", "leaf", "ink", "faded", "rule", "link", "stop", "go", "mind"];
const TILE = 10; // pixels from line to line of a hatching
const TOLD = 70; // pixels from which on a side tells its length
const NUMBERED = 40; // corners at most that carry their number
export const WORDS = {
  outline: "Outline of the dig", needed: "Ground that is needed", swept: "Swept", unswept: "Not yet swept", trace: "Traced line", zone: "By hand only",
  hole: "Trial hole", planned: "Line of the plans", fix: "Position of a phone",
};

export function tokens() {
  const held = getComputedStyle(document.documentElement);
  const found = Object.fromEntries(NAMES.map((name) => [name, held.getPropertyValue(`--${name}`).trim()]));
  return { ...found, font: `700 14px ${held.getPropertyValue("--reading").trim()}` };
}

// Calls `again` whenever the light changes, by choice or by the device.
export function onLight(again) {
  new MutationObserver(again).observe(document.documentElement, { attributes: true, attributeFilter: ["data-light"] });
  for (const wish of ["(prefers-color-scheme: dark)", "(prefers-contrast: more)"]) matchMedia(wish).addEventListener("change", again);
}

const hatches = new Map();

function hatch(colour, down) {
  const side = Math.round(TILE * (window.devicePixelRatio || 1)), name = `${colour} ${down} ${side}`;
  if (!hatches.has(name)) hatches.set(name, hatching(colour, down, side));
  return hatches.get(name);
}

function hatching(colour, down, side) {
  const tile = Object.assign(document.createElement("canvas"), { width: side, height: side });
  const pen = tile.getContext("2d");
  pen.strokeStyle = colour;
  pen.lineWidth = side / TILE;
  pen.beginPath();
  for (const shift of [-side, 0, side]) {
    pen.moveTo(shift, down ? 0 : side);
    pen.lineTo(shift + side, down ? side : 0);
  }
  pen.stroke();
  return pen.createPattern(tile, "repeat");
}

// A colour of tokens.css, #rgb or #rrggbb, so thin that what lies beneath can be read.
const faint = (colour) => `${colour.length < 7 ? colour.replace(/[^#]/g, "$&$&") : colour}2e`;

const line = (color, width, lineDash) => new Style({ stroke: new Stroke({ color, width, lineDash }) });

const words = (light, text, offsetY) => new Text({
  text, offsetY, font: light.font, padding: [1, 3, 1, 3], fill: new Fill({ color: light.ink }), backgroundFill: new Fill({ color: light.paper }),
});

// A line of a utility: its own colour on a casing of ink, so that pale colours and grey screens keep it.
const cased = (light, colour, lineDash) => [line(light.paper, 8), line(light.ink, 6), line(colour || light.faded, 3.5, lineDash)];
const spot = (light, colour, points) => new Style({
  image: new RegularShape({ points, radius: 8, fill: new Fill({ color: colour || light.paper }), stroke: new Stroke({ color: light.ink, width: 2 }) }),
});

const KINDS = {
  outline: (light) => [line(light.paper, 5), line(light.ink, 3)],
  needed: (light) => [line(light.ink, 1.5, [2, 5])],
  swept: (light, held) => [new Style({ fill: new Fill({ color: hatch(light.faded, held.technique !== "passive_radio") }), stroke: new Stroke({ color: light.faded, width: 1 }) })],
  unswept: (light) => [new Style({ fill: new Fill({ color: hatch(light.stop, true) }) }), new Style({ fill: new Fill({ color: hatch(light.stop, false) }), stroke: new Stroke({ color: light.stop, width: 2 }) })],
  zone: (light) => [line(light.paper, 4), line(light.stop, 2, [8, 4])],
  trace: (light, held) => cased(light, held.colour),
  planned: (light, held) => [line(light.paper, 7), line(light.ink, 5, [10, 8]), line(held.colour || light.faded, 3, [10, 8])],
  hole: (light, held) => [spot(light, held.colour, 4)],
  fix: (light) => [line(light.mind, 2, [4, 4]), spot(light, light.mind, 3)],
};

// The styles of a feature that lies there already.
export function styleOf(light, feature) {
  const held = feature.getProperties();
  return (KINDS[held.kind] ?? KINDS.planned)(light, held);
}

// The styles of the shape that is being drawn. `band`: the width of a trench in metres, 0 for none.
export function ownStyle(light, draft, band, moving) {
  return (feature, resolution) => {
    const made = band ? [new Style({ stroke: new Stroke({ color: faint(light.link), width: band / resolution, lineCap: "butt", lineJoin: "miter" }) })] : [];
    const fill = draft.closed() ? new Fill({ color: faint(light.link) }) : undefined;
    made.push(line(light.paper, 6), new Style({ fill, stroke: new Stroke({ color: light.link, width: 3 }) }));
    made.push(...stretches(draft.points, draft.closed()).filter(([a, b]) => distance(a, b) / resolution > TOLD).map(([a, b]) => side(light, a, b)));
    return [...made, ...draft.points.flatMap((point, place) => corner(light, point, draft.points.length > NUMBERED ? "" : String(place + 1), moving))];
  };
}

// The length of a side, in its middle.
function side(light, a, b) {
  return new Style({ geometry: new Point([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]), text: words({ ...light, font: light.font.replace("14px", "12px") }, `${distance(a, b).toFixed(2)} m`, 0) });
}

function corner(light, point, number, moving) {
  const image = new Circle({ radius: moving ? 9 : 5, fill: new Fill({ color: light.paper }), stroke: new Stroke({ color: light.link, width: 3 }) });
  const made = [new Style({ geometry: new Point(point), image })];
  return number ? [...made, new Style({ geometry: new Point(point), text: words(light, number, moving ? -20 : -16) })] : made;
}

export const aheadStyle = (light) => [line(light.paper, 4), line(light.link, 2, [6, 6])];
export const ahead = (points) => new LineString(points);
