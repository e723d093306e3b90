import type { HistorySet, Rep } from "../model";
import { fixed, half, inUnit, massUnit, ok } from "../units";
import { steps } from "./axis";

/** Every rep's mean velocity over the mean load on the bar, days told apart by shape. */

const kWide = 620;
const kHigh = 400;
const kLeft = 50;
const kRight = 16;
const kTop = 30;
const kBottom = 44;

function loadOf(rep: Rep, set: HistorySet): number {
  return ok(rep.mean_load_kg) ? rep.mean_load_kg.value : set.stated_load_kg;
}

export function LoadVelocity({ sets, zone }: { sets: HistorySet[]; zone: [number, number] | null }) {
  const unit = massUnit.value;
  const days = [...new Set(sets.map((s) => s.day))].sort();
  const points = sets.flatMap((s) =>
    s.reps.flatMap((r) => (ok(r.mean_velocity_mps) ? [{ day: days.indexOf(s.day), load: inUnit(loadOf(r, s), unit), v: r.mean_velocity_mps.value, half: half(r.mean_velocity_mps) }] : [])),
  );
  if (!points.length) return null;
  const most = Math.max(...points.map((p) => p.load));
  const least = Math.min(...points.map((p) => p.load));
  const spread = Math.max(most - least, 0.3 * most);
  const all = steps(most + 0.15 * spread, 8);
  const ls = all.filter((l) => l >= least - 0.6 * spread - all[1]!);
  const vs = steps(Math.max(...points.map((p) => p.v + p.half), zone?.[1] ?? 0), 5);
  const x = (l: number) => kLeft + ((l - ls[0]!) / (ls.at(-1)! - ls[0]!)) * (kWide - kLeft - kRight);
  const y = (v: number) => kHigh - kBottom - (v / vs.at(-1)!) * (kHigh - kTop - kBottom);
  return (
    <svg class="vh load-velocity" viewBox={`0 0 ${kWide} ${kHigh}`} role="img" aria-label={`Mean velocity over load of ${points.length} reps`}>
      {zone && (
        <g class="zone">
          <rect x={kLeft} width={kWide - kLeft - kRight} y={y(zone[1])} height={y(zone[0]) - y(zone[1])} />
          <text x={kWide - kRight - 6} y={y(zone[1]) + 16} text-anchor="end">
            zone {zone[0]}–{zone[1]} m/s
          </text>
        </g>
      )}
      {vs.map((v) => (
        <g class="grid">
          <line x1={kLeft} x2={kWide - kRight} y1={y(v)} y2={y(v)} />
          <text x={kLeft - 6} y={y(v) + 4} text-anchor="end">
            {Number(v.toFixed(2))}
          </text>
        </g>
      ))}
      {ls.map((l) => (
        <g class="grid">
          <line x1={x(l)} x2={x(l)} y1={kTop} y2={kHigh - kBottom} />
          <text x={x(l)} y={kHigh - kBottom + 18} text-anchor="middle">
            {fixed(l, 0)}
          </text>
        </g>
      ))}
      <text class="axis" x={kWide - kRight} y={kHigh - 6} text-anchor="end">
        mean load, {unit}
      </text>
      <text class="axis" x={4} y={12}>
        mean velocity, m/s
      </text>
      {points.map((p) => (
        <g class={p.day === days.length - 1 ? "point newest" : "point"}>
          <line x1={x(p.load)} x2={x(p.load)} y1={y(p.v - p.half)} y2={y(p.v + p.half)} />
          <circle cx={x(p.load)} cy={y(p.v)} r={5} />
        </g>
      ))}
    </svg>
  );
}
