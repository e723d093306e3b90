import type { Rep, Samples } from "../model";
import { fixed, ok } from "../units";
import { smoothPath, steps } from "../parts/axis";
import { choose, chosen, now_s, same, session, shown } from "./open_set";
import { indexAt } from "./timeline";

/** Each rise's velocity over its height, as the bar stood: up is up. The dot is where the cursor is. */

const kWide = 420;
const kHigh = 340;
const kLeft = 46;
const kRight = 16;
const kTop = 30;
const kBottom = 40;

interface Line {
  rep: Rep;
  points: [number, number][]; // velocity, height above the rise's bottom in cm
}

function lineOf(rep: Rep, s: Samples): Line {
  const points: [number, number][] = [];
  for (let i = indexAt(s.t_s, rep.start_s); i < s.t_s.length && s.t_s[i]! <= rep.end_s; i++) {
    if (s.measured[i]) points.push([Math.max(0, s.velocity_mps[i]!), 100 * (s.height_m[i]! - rep.bottom_height_m)]);
  }
  return { rep, points };
}

function stickingOf(rep: Rep): [number, number] | null {
  if (!ok(rep.sticking_from_height) || !ok(rep.second_peak_height)) return null;
  const range = 100 * (rep.top_height_m - rep.bottom_height_m);
  return [range * rep.sticking_from_height.value, range * rep.second_peak_height.value];
}

export function VelocityHeight() {
  const s = session.value?.samples;
  const reps = (shown.value?.reps ?? []).filter((r) => !chosen.value || r.set === chosen.value.set);
  if (!s || !reps.length) return null;
  const lines = reps.map((r) => lineOf(r, s));
  const all = lines.flatMap((l) => l.points);
  if (!all.length) return null;
  const vs = steps(Math.max(...all.map((p) => p[0])), 4);
  const hs = steps(Math.max(...all.map((p) => p[1])), 5);
  const x = (v: number) => kLeft + (v / vs.at(-1)!) * (kWide - kLeft - kRight);
  const y = (h: number) => kHigh - kBottom - (h / hs.at(-1)!) * (kHigh - kTop - kBottom);
  const path = (l: Line) => smoothPath(l.points.map(([v, h]) => [x(v), y(h)]));
  const mine = lines.find((l) => chosen.value && same(l.rep, chosen.value));
  const sticking = mine && stickingOf(mine.rep);

  const t = now_s.value;
  const under = lines.find((l) => t >= l.rep.start_s && t <= l.rep.end_s);
  const i = indexAt(s.t_s, t);
  const dot = under && s.measured[i] ? { x: x(Math.max(0, s.velocity_mps[i]!)), y: y(Math.max(0, 100 * (s.height_m[i]! - under.rep.bottom_height_m))) } : null;

  return (
    <section class="plot" aria-label="Velocity over height">
      <header class="plot-head">
        <h2>
          Velocity over height <span class="hint">each rise of the set</span>
        </h2>
      </header>
      <svg class="vh" viewBox={`0 0 ${kWide} ${kHigh}`} role="img" aria-label={`Velocity over height of ${lines.length} rises${mine ? `; rep ${mine.rep.rep} stands out` : ""}`}>
        {hs.map((h) => (
          <g class="grid">
            <line x1={kLeft} x2={kWide - kRight} y1={y(h)} y2={y(h)} />
            <text x={kLeft - 6} y={y(h) + 4} text-anchor="end">
              {fixed(h, 0)}
            </text>
          </g>
        ))}
        {vs.map((v) => (
          <g class="grid">
            <line x1={x(v)} x2={x(v)} y1={kTop} y2={kHigh - kBottom} />
            <text x={x(v)} y={kHigh - kBottom + 17} text-anchor="middle">
              {Number(v.toFixed(2))}
            </text>
          </g>
        ))}
        <text class="axis" x={kWide - kRight} y={kHigh - 6} text-anchor="end">
          velocity, m/s
        </text>
        <text class="axis" x={4} y={12}>
          height above the bottom, cm
        </text>
        {sticking && (
          <g class="sticking">
            <rect x={kLeft} width={kWide - kLeft - kRight} y={y(sticking[1])} height={Math.max(2, y(sticking[0]) - y(sticking[1]))} />
            <text x={kWide - kRight - 4} y={y(sticking[1]) - 4} text-anchor="end">
              sticking region
            </text>
          </g>
        )}
        {lines
          .filter((l) => l !== mine)
          .map((l) => (
            <path class="rise" d={path(l)} onClick={() => choose(l.rep)} />
          ))}
        {mine && <path class="rise mine" d={path(mine)} />}
        {dot && <circle class="dot" cx={dot.x} cy={dot.y} r={7} />}
      </svg>
    </section>
  );
}
