// Where the words of what lies there stand: beside it, never upon each other. What finds no room is told in the list beneath; a line shows its letter at least.
import { WORDS } from "./looks.js";

const ALONG = [0.12, 0.88, 0.5, 0.3, 0.7]; // shares of a line at which its words may stand
const ROUND = [[0, -18], [0, 18], [30, -12], [-30, -12]]; // pixels from a point
const FIRST = ["trace", "planned", "hole", "unswept", "zone", "swept", "fix", "needed", "outline"];
const LINES = ["trace", "planned"];
const TALL = 15, BESIDE = 3, EDGE = 24; // pixels

// Puts tags with the pen; `pixel` gives where a coordinate lies.
export function tag(pen, frame, light, features, pixel) {
  const taken = [{ left: frame.width - 70, right: frame.width, top: 0, bottom: 50 }, { left: 0, right: 100, top: frame.height - 24, bottom: frame.height }];
  pen.font = light.font.replace("14px", "12px");
  for (const feature of [...features].sort((a, b) => FIRST.indexOf(a.get("kind")) - FIRST.indexOf(b.get("kind")))) {
    const text = feature.get("label") || WORDS[feature.get("kind")] || "";
    const spots = places(feature, pixel).filter(([x, y]) => x > 0 && y > EDGE && x < frame.width && y < frame.height);
    const texts = LINES.includes(feature.get("kind")) ? [text, text.split(" ")[0]] : [text];
    const found = texts.flatMap((one) => spots.map((spot) => boxed(pen, one, spot, frame.width))).find((box) => !taken.some((other) => meet(box, other)));
    if (found && text) taken.push(put(pen, light, found));
  }
}

function places(feature, pixel) {
  const shape = feature.getGeometry(), kind = shape.getType();
  if (kind === "LineString") return ALONG.map((share) => pixel(shape.getCoordinateAt(share)));
  if (kind === "Point") return around(pixel(shape.getCoordinates()));
  if (kind === "Circle") return around(pixel(shape.getCenter()));
  if (kind === "MultiLineString") return shape.getLineStrings().map((line) => pixel(line.getCoordinateAt(0.5)));
  if (kind === "Polygon") return inside(shape, pixel);
  return kind === "MultiPolygon" ? shape.getPolygons().flatMap((one) => inside(one, pixel)) : [];
}

const around = ([x, y]) => ROUND.map(([dx, dy]) => [x + dx, y + dy]);

// In the middle of an area; else between its middle and its corners.
function inside(shape, pixel) {
  const middle = pixel(shape.getInteriorPoint().getCoordinates());
  const corners = shape.getCoordinates()[0], every = Math.ceil(corners.length / 8);
  return [middle, ...corners.filter((_, place) => place % every === 0).map((corner) => pixel(corner).map((one, axis) => (one + middle[axis]) / 2))];
}

// A box of the text about the spot, moved into the frame.
function boxed(pen, text, [x, y], width) {
  const half = pen.measureText(text).width / 2 + BESIDE;
  const middle = Math.min(Math.max(x, half), Math.max(width - half, half));
  return { text, middle, y, left: middle - half, right: middle + half, top: y - TALL / 2, bottom: y + TALL / 2 };
}

const meet = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

function put(pen, light, box) {
  Object.assign(pen, { textAlign: "center", textBaseline: "middle", lineWidth: 4, lineJoin: "round", strokeStyle: light.paper, fillStyle: light.ink });
  pen.strokeText(box.text, box.middle, box.y);
  pen.fillText(box.text, box.middle, box.y);
  pen.textBaseline = "alphabetic";
  return box;
}
