// Shapes as text and as points of the site's metre grid, x to the east and y to the north. Pure: no page, no library.
const NUMBER = "-?[0-9]+(?:\\.[0-9]+)?";
const POINT = new RegExp(`^\\s*(${NUMBER})[\\s,;]+(${NUMBER})\\s*$`);
const PLAIN = /^\s*(POLYGON|LINESTRING|POINT)\s*\(?\s*\(([^()]*)\)\s*\)?\s*$/i;
const TEXT = /^\s*[A-Za-z]+\s*\(/;
const PLACES = 6;
export const FARTHEST = 100000;

// What a text holds: {points}; {wkt} where it is a shape of several parts, which stays text; or {fault} in words.
export function read(text, closed) {
  const plain = PLAIN.exec(text);
  if (!plain && TEXT.test(text)) return { points: [], wkt: text.trim() };
  const lines = plain ? plain[2].split(",") : text.split(/\r\n|\r|\n/);
  const points = [];
  for (const [place, line] of lines.entries()) {
    if (!line.trim()) continue;
    const found = POINT.exec(line);
    if (!found) return { points, fault: `Line ${place + 1} cannot be read yet: x and y in metres were expected, such as 12.5 40.` };
    points.push([Number(found[1]), Number(found[2])]);
  }
  if (closed && points.length > 2 && same(points[0], points.at(-1))) points.pop();
  return { points };
}

export const write = (points) => points.map(([x, y]) => `${plain(x)} ${plain(y)}`).join("\n");

// A plain decimal, without needless noughts or the sign of nought.
export function plain(number, places = PLACES) {
  const text = number.toFixed(places).replace(/\.?0+$/, "");
  return text === "-0" || text === "" ? "0" : text;
}

export const same = (a, b) => a[0] === b[0] && a[1] === b[1];
export const fits = ([x, y]) => Math.abs(x) <= FARTHEST && Math.abs(y) <= FARTHEST;
export const distance = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);

// Degrees from the grid's north, clockwise, 0 to below 360.
export const bearing = (a, b) => (Math.atan2(b[0] - a[0], b[1] - a[1]) * 180 / Math.PI + 360) % 360;

// The point so many metres away at that bearing, to the millimetre.
export function away(from, metres, degrees) {
  const turn = degrees * Math.PI / 180;
  return [from[0] + metres * Math.sin(turn), from[1] + metres * Math.cos(turn)].map((one) => rounded(one, 0.001));
}

export const rounded = (number, step) => Number((Math.round(number / step) * step).toFixed(PLACES));

// The stretches between points that follow each other; of a closed shape the last one too.
export function stretches(points, closed) {
  const pairs = points.slice(1).map((point, place) => [points[place], point]);
  return closed && points.length > 2 ? [...pairs, [points.at(-1), points[0]]] : pairs;
}

export const long = (points, closed) => stretches(points, closed).reduce((sum, [a, b]) => sum + distance(a, b), 0);

// Square metres within the corners, counted from the first one so that large coordinates lose nothing.
export function area(points) {
  const [x0, y0] = points[0] ?? [0, 0];
  const doubled = points.reduce((sum, [x, y], place) => {
    const [nx, ny] = points[(place + 1) % points.length];
    return sum + (x - x0) * (ny - y0) - (nx - x0) * (y - y0);
  }, 0);
  return Math.abs(doubled) / 2;
}
