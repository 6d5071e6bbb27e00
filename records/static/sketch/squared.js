// The squared paper beneath, and what lies over all: scale bar, north, and the cross of the middle. Drawn on canvases of our own, in the map's frame.
import { Layer } from "../vendor/openlayers/ol.js";
import { plain } from "./shape.js";
import { tag } from "./tags.js";
import { tokens } from "./looks.js";

const LEAST = 36; // pixels of a square's side, at least
const BAR = 60; // pixels of the scale bar, at least
const EDGE = 6;

// The least round number (1, 2, 5, 10 …) that is not below.
export function round(least) {
  const ten = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((digit) => digit * ten).find((one) => one >= least * (1 - 1e-9));
}

export const square = (resolution) => round(LEAST * resolution);

// A layer whose `paint` is given a pen in CSS pixels and the frame.
function layer(zIndex, paint) {
  // a bare canvas the library would take for its own, and draw the next layers into it
  const canvas = document.createElement("canvas"), sheet = document.createElement("div");
  sheet.className = "sketch-paper";
  sheet.append(canvas);
  const render = (frame) => {
    const [width, height] = frame.size;
    canvas.width = width * frame.pixelRatio;
    canvas.height = height * frame.pixelRatio;
    const pen = canvas.getContext("2d");
    pen.scale(frame.pixelRatio, frame.pixelRatio);
    paint(pen, { width, height, resolution: frame.viewState.resolution, centre: frame.viewState.center });
    return sheet;
  };
  return new Layer({ render, zIndex });
}

export const beneath = () => layer(0, (pen, frame) => {
  const light = tokens(), step = square(frame.resolution);
  pen.fillStyle = light.paper;
  pen.fillRect(0, 0, frame.width, frame.height);
  pen.strokeStyle = light.rule;
  for (const { at, metres, upright } of lines(frame, step)) {
    pen.lineWidth = Math.round(metres / step) % 5 ? 0.5 : 1.25;
    pen.beginPath();
    pen.moveTo(upright ? at : 0, upright ? 0 : at);
    pen.lineTo(upright ? at : frame.width, upright ? frame.height : at);
    pen.stroke();
  }
});

function* lines({ width, height, resolution, centre }, step) {
  const left = centre[0] - width / 2 * resolution, top = centre[1] + height / 2 * resolution;
  for (let one = Math.ceil(left / step); one * step < left + width * resolution; one++) yield { at: (one * step - left) / resolution, metres: one * step, upright: true };
  for (let one = Math.floor(top / step); one * step > top - height * resolution; one--) yield { at: (top - one * step) / resolution, metres: one * step, upright: false };
}

// The words of what lies there, under what is being drawn. Asked at each frame: what that is, and where a coordinate lies.
export const tags = (features, pixel) => layer(15, (pen, frame) => tag(pen, frame, tokens(), features(), pixel));

// `cross`: asked at each frame whether the middle is marked.
export const over = (cross) => layer(100, (pen, frame) => {
  const light = tokens();
  numbers(pen, frame, light);
  bar(pen, frame, light);
  north(pen, frame, light);
  if (cross()) middle(pen, frame, light);
});

function say(pen, light, text, x, y, align = "left") {
  pen.font = light.font.replace("14px", "12px");
  pen.textAlign = align;
  pen.lineWidth = 4;
  pen.lineJoin = "round";
  pen.strokeStyle = light.paper;
  pen.strokeText(text, x, y);
  pen.fillStyle = light.ink;
  pen.fillText(text, x, y);
}

// Every fifth line tells its metres, at the top and at the left.
function numbers(pen, frame, light) {
  const step = square(frame.resolution), often = frame.width / (step / frame.resolution) > 8 ? 5 : 2;
  for (const { at, metres, upright } of lines(frame, step)) {
    if (Math.round(metres / step) % often) continue;
    if (upright && at > 40 && at < frame.width - 44) say(pen, light, plain(metres, 3), at, 14, "center");
    if (!upright && at > 24 && at < frame.height - 44) say(pen, light, plain(metres, 3), EDGE, at + 4);
  }
}

function bar(pen, frame, light) {
  const metres = round(BAR * frame.resolution), long = metres / frame.resolution, y = frame.height - 12;
  for (const [place, colour] of [light.ink, light.paper].entries()) {
    pen.fillStyle = colour;
    pen.strokeStyle = light.ink;
    pen.lineWidth = 1.5;
    pen.fillRect(EDGE + place * long / 2, y, long / 2, 6);
    pen.strokeRect(EDGE + place * long / 2, y, long / 2, 6);
  }
  say(pen, light, `${plain(metres, 3)} m`, EDGE + long + 6, y + 7);
}

function north(pen, frame, light) {
  const x = frame.width - 20, y = 8;
  pen.beginPath();
  for (const [dx, dy] of [[0, 0], [8, 22], [0, 16], [-8, 22]]) pen.lineTo(x + dx, y + dy);
  pen.closePath();
  pen.fillStyle = light.ink;
  pen.strokeStyle = light.paper;
  pen.lineWidth = 3;
  pen.stroke();
  pen.fill();
  say(pen, light, "N", x, y + 36, "center");
}

function middle(pen, { width, height }, light) {
  const x = width / 2, y = height / 2;
  for (const [colour, wide] of [[light.paper, 5], [light.ink, 2]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = wide;
    pen.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      pen.moveTo(x + dx * 5, y + dy * 5);
      pen.lineTo(x + dx * 18, y + dy * 18);
    }
    pen.stroke();
  }
}
