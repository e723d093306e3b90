import type { Disc } from "../model";
import { speedInWords } from "../units";

/** What is drawn on a picture: the bar's path, the disc's rim, and how fast the bar moves. */

const kRising = "#e69f00"; // Okabe and Ito's orange and sky blue; the lines differ in width and dashes too
const kLowering = "#56b4e9";
const kCasing = "rgba(0, 0, 0, 0.75)";

export interface Scene {
  disc: Disc;
  aspect: number; // of a pixel
  scale: number; // canvas pixels a picture pixel
  index: number;
  from: number; // where the path drawn begins
  velocity_mps: number | null;
  pointing: { x_px: number; y_px: number } | null;
  text_px: number;
}

type Context = CanvasRenderingContext2D;

function cased(c: Context, colour: string, width: number, trace: () => void, dash: number[] = []) {
  c.setLineDash([]);
  c.lineWidth = width * 2.2;
  c.strokeStyle = kCasing;
  trace();
  c.stroke();
  c.setLineDash(dash);
  c.lineWidth = width;
  c.strokeStyle = colour;
  trace();
  c.stroke();
  c.setLineDash([]);
}

function drawPath(c: Context, s: Scene) {
  const { disc } = s;
  const place = (i: number): [number, number] => [disc.x_px[i]! * s.aspect * s.scale, disc.y_px[i]! * s.scale];
  const known = (i: number) => disc.sighting[i] !== "lost";
  const rises = (i: number) => disc.y_px[i]! < disc.y_px[i - 1]!;
  const unit = s.text_px / 8;
  let i = s.from + 1;
  while (i <= s.index) {
    if (!known(i) || !known(i - 1)) {
      i++;
      continue;
    }
    const up = rises(i);
    const begin = i - 1;
    while (i <= s.index && known(i) && rises(i) === up) i++;
    cased(
      c,
      up ? kRising : kLowering,
      up ? unit * 1.6 : unit,
      () => {
        c.beginPath();
        for (let k = begin; k < i; k++) c.lineTo(...place(k));
      },
      up ? [] : [unit * 4, unit * 3],
    );
  }
}

function drawRim(c: Context, s: Scene) {
  const { disc, index: i } = s;
  const sighting = disc.sighting[i];
  if (sighting === "lost" || sighting === undefined) return;
  const x = disc.x_px[i]! * s.aspect * s.scale;
  const y = disc.y_px[i]! * s.scale;
  const unit = s.text_px / 8;
  const rim = () => {
    c.beginPath();
    c.ellipse(x, y, disc.half_width_px[i]! * s.aspect * s.scale, disc.half_height_px[i]! * s.scale, disc.tilt[i]!, 0, 2 * Math.PI);
  };
  // A rim that was only guessed at is broken.
  cased(c, "#ffffff", unit, rim, sighting === "coasted" ? [unit * 3, unit * 4] : []);
  cased(c, "#ffffff", unit, () => {
    c.beginPath();
    c.moveTo(x - unit * 4, y);
    c.lineTo(x + unit * 4, y);
    c.moveTo(x, y - unit * 4);
    c.lineTo(x, y + unit * 4);
  });
}

function label(c: Context, text: string, x: number, y: number, size: number) {
  c.font = `600 ${size}px system-ui, sans-serif`;
  c.textBaseline = "middle";
  const width = c.measureText(text).width;
  const left = Math.min(Math.max(size * 0.3, x), c.canvas.width - width - size);
  const top = Math.min(Math.max(size, y), c.canvas.height - size);
  c.fillStyle = "rgba(0, 0, 0, 0.78)";
  c.beginPath();
  c.roundRect(left - size * 0.35, top - size * 0.8, width + size * 0.7, size * 1.6, size * 0.3);
  c.fill();
  c.fillStyle = "#ffffff";
  c.fillText(text, left, top);
}

function drawVelocity(c: Context, s: Scene) {
  const v = s.velocity_mps;
  const { disc, index: i } = s;
  if (v === null || disc.sighting[i] === "lost" || disc.sighting[i] === undefined) return;
  const x = disc.x_px[i]! * s.aspect * s.scale;
  const y = disc.y_px[i]! * s.scale;
  const size = s.text_px;
  // One metre a second is as long as the disc's radius.
  const length = v * disc.half_height_px[i]! * s.scale;
  if (Math.abs(length) > size * 0.5) {
    const tip = y - length;
    const head = Math.sign(length) * Math.min(size * 0.7, Math.abs(length) * 0.5);
    cased(c, v > 0 ? kRising : kLowering, size / 5, () => {
      c.beginPath();
      c.moveTo(x, y);
      c.lineTo(x, tip);
      c.moveTo(x - head * 0.7, tip + head);
      c.lineTo(x, tip);
      c.lineTo(x + head * 0.7, tip + head);
    });
  }
  label(c, speedInWords(v), x + disc.half_width_px[i]! * s.aspect * s.scale + size, y, size);
}

function drawPointer(c: Context, s: Scene) {
  if (!s.pointing) return;
  const x = s.pointing.x_px * s.scale;
  const y = s.pointing.y_px * s.scale;
  const r = s.text_px * 1.8;
  cased(c, "#f0e442", s.text_px / 7, () => {
    c.beginPath();
    c.arc(x, y, r, 0, 2 * Math.PI);
    c.moveTo(x - r * 1.6, y);
    c.lineTo(x + r * 1.6, y);
    c.moveTo(x, y - r * 1.6);
    c.lineTo(x, y + r * 1.6);
  });
}

export function drawOverlay(c: Context, s: Scene) {
  c.lineCap = "round";
  c.lineJoin = "round";
  if (!s.pointing) {
    drawPath(c, s);
    drawRim(c, s);
    drawVelocity(c, s);
  }
  drawPointer(c, s);
}
