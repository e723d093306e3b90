/** Round steps for an axis from 0 to at least `most`. */
export function steps(most: number, about: number): number[] {
  const raw = most / about;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10].map((m) => m * power).find((m) => m >= raw)!;
  const out: number[] = [];
  for (let i = 0; i <= Math.ceil(most / step); i++) out.push(i * step);
  return out;
}
