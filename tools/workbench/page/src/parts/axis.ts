/** Round steps for an axis from 0 to at least `most`. */
export function steps(most: number, about: number): number[] {
  const raw = most / about;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10].map((m) => m * power).find((m) => m >= raw)!;
  const out: number[] = [];
  for (let i = 0; i <= Math.ceil(most / step); i++) out.push(i * step);
  return out;
}

/** An SVG path through points as a smooth curve (Catmull and Rom's): what is drawn moves smoothly between its samples. */
export function smoothPath(points: [number, number][]): string {
  const p = (i: number) => points[Math.min(Math.max(i, 0), points.length - 1)]!;
  const text = ([x, y]: [number, number]) => `${x.toFixed(1)} ${y.toFixed(1)}`;
  if (!points.length) return "";
  let out = "M" + text(p(0));
  for (let i = 0; i + 1 < points.length; i++) {
    const from: [number, number] = [p(i)[0] + (p(i + 1)[0] - p(i - 1)[0]) / 6, p(i)[1] + (p(i + 1)[1] - p(i - 1)[1]) / 6];
    const to: [number, number] = [p(i + 1)[0] - (p(i + 2)[0] - p(i)[0]) / 6, p(i + 1)[1] - (p(i + 2)[1] - p(i)[1]) / 6];
    out += `C${text(from)} ${text(to)} ${text(p(i + 1))}`;
  }
  return out;
}
