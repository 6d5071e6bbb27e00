// The phone's own position, in the site's grid. What the phone said goes along with the form, raw, as long as the point that was made of it is still there.
import { distance, plain, rounded, same } from "./shape.js";

const PATIENCE = 20000; // milliseconds
const REFUSALS = {
  1: "The phone was not allowed to tell where it is.",
  2: "The phone does not know where it is.",
  3: "The phone did not find where it is in time. Try again under the open sky.",
};

// A position on the Earth in the grid, to the centimetre.
export function inGrid({ affine: [a, b, c, d, e, f], from: [lon0, lat0] }, lon, lat) {
  const east = (lon - lon0 + 540) % 360 - 180, north = lat - lat0; // the shorter way round the Earth
  return [a + b * east + c * north, d + e * east + f * north].map((one) => rounded(one, 0.01));
}

// Gives a fix. Rejects with words that say why there is none.
export function here(grid) {
  return new Promise((found, refused) => {
    if (!navigator.geolocation) return refused(new Error(REFUSALS[2]));
    const fix = ({ coords: { longitude, latitude, accuracy }, timestamp }) => {
      const point = inGrid(grid, longitude, latitude);
      const away = distance(point, inGrid(grid, ...grid.from));
      if (away > grid.radius_m) return refused(new Error(`You seem to be ${Math.round(away)} m from the middle of this site’s grid, too far to be told in it. No point was made.`));
      return found({ point, lon: longitude, lat: latitude, accuracy_m: rounded(accuracy, 0.001), taken_at: new Date(timestamp).toISOString() });
    };
    return navigator.geolocation.getCurrentPosition(fix, ({ code }) => refused(new Error(REFUSALS[code] ?? REFUSALS[2])), { enableHighAccuracy: true, timeout: PATIENCE, maximumAge: 0 });
  });
}

// In words. `off`: how far, in metres, the straight reckoning into the grid may be off beside what the phone itself is.
export const told = ({ point: [x, y], accuracy_m }, off) =>
  `The phone puts you at ${x} east, ${y} north, and thinks it is right to ${plain(accuracy_m, 1)} m${off >= 0.01 ? `, and ${off} m beside that for the grid` : ""}. That is its own guess: measure from something fixed where it matters.`;

// Keeps the form's hidden field `fixes`, where it has one, in step with the points.
export class Fixes {
  constructor(form, draft) {
    this.all = [];
    this.draft = draft;
    this.field = form?.elements.namedItem("fixes");
    draft.addEventListener("change", () => this.write());
  }

  keep(fix) {
    this.all.push(fix);
    this.write();
  }

  standing() { return this.all.filter((fix) => this.draft.points.some((point) => same(point, fix.point))); }

  write() {
    if (!this.field) return;
    const kept = this.standing().map(({ point: [x, y], ...raw }) => ({ x, y, ...raw }));
    this.field.value = kept.length ? JSON.stringify(kept) : "";
  }
}
