import { useState } from "preact/hooks";
import type { ProfileReply, Worked, ZoneReply } from "../model";
import { fixed, inUnit, mass, massUnit } from "../units";
import { kLoadCaution } from "../words";
import { steps } from "./axis";
import { Caution, Nothing } from "./basics";
import { NotesList } from "./notes_list";

/** The load–velocity line of a lifter with its bands, and the zone of loads that follows from it. */

const kWide = 640;
const kHigh = 420;
const kLeft = 52;
const kRight = 18;
const kTop = 30;
const kBottom = 46;

export const variantWords = (v: { bar: string; box_height_m: number | null; accommodating: string }) =>
  [v.bar, v.box_height_m ? `box ${Math.round(100 * v.box_height_m)} cm` : "", v.accommodating].filter(Boolean).join(", ") || "any bar";

function Chart({ p, zone }: { p: ProfileReply; zone: ZoneReply | null }) {
  const unit = massUnit.value;
  const loads = [...p.points.map((q) => q.load_kg), ...(p.line ?? []).map((q) => q.load_kg), ...(p.best_single_kg ? [p.best_single_kg] : [])].map((kg) => inUnit(kg, unit));
  const [hover, setHover] = useState<number | null>(null);
  const most = Math.max(...loads);
  const least = Math.min(...loads);
  const spread = Math.max(most - least, 0.2 * most);
  const all = steps(most + 0.05 * spread, 9);
  const ls = all.filter((l) => l >= least - 0.1 * spread - all[1]!);
  const vs = steps(Math.max(...p.points.map((q) => q.velocity_mps + 2 * q.sigma_mps), ...(p.line ?? []).map((q) => q.set[1])), 5);
  const x = (kg: number) => kLeft + ((inUnit(kg, unit) - ls[0]!) / (ls.at(-1)! - ls[0]!)) * (kWide - kLeft - kRight);
  const y = (v: number) => kHigh - kBottom - (Math.max(0, v) / vs.at(-1)!) * (kHigh - kTop - kBottom);
  const band = (which: "line" | "set") => {
    const line = p.line!;
    return [...line.map((q) => `${x(q.load_kg).toFixed(1)},${y(q[which][1]).toFixed(1)}`), ...[...line].reverse().map((q) => `${x(q.load_kg).toFixed(1)},${y(q[which][0]).toFixed(1)}`)].join(" ");
  };
  const inside = p.line?.filter((q) => !q.outside) ?? [];
  const path = (points: NonNullable<ProfileReply["line"]>) => points.map((q, i) => `${i ? "L" : "M"}${x(q.load_kg).toFixed(1)} ${y(q.velocity_mps).toFixed(1)}`).join("");
  const shown = hover === null ? null : p.line?.[hover];
  function move(e: PointerEvent) {
    if (!p.line) return;
    const box = (e.currentTarget as SVGElement).getBoundingClientRect();
    const at = ((e.clientX - box.left) / box.width) * kWide;
    setHover(p.line.reduce((best, q, i) => (Math.abs(x(q.load_kg) - at) < Math.abs(x(p.line![best]!.load_kg) - at) ? i : best), 0));
  }
  return (
    <svg class="vh profile" viewBox={`0 0 ${kWide} ${kHigh}`} role="img" aria-label={`Mean velocity over load, ${p.points.length} sets${p.line ? ", with the line and its bands" : ""}`} onPointerMove={move} onPointerLeave={() => setHover(null)}>
      {zone?.from_kg && zone.to_kg && (
        <g class="zone">
          <rect x={x(zone.from_kg.value)} width={Math.max(2, x(zone.to_kg.value) - x(zone.from_kg.value))} y={kTop} height={kHigh - kTop - kBottom} />
          <text x={(x(zone.from_kg.value) + x(zone.to_kg.value)) / 2} y={kTop + 16} text-anchor="middle">
            zone
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
      {ls.map((l) => {
        const at = kLeft + ((l - ls[0]!) / (ls.at(-1)! - ls[0]!)) * (kWide - kLeft - kRight);
        return (
          <g class="grid">
            <line x1={at} x2={at} y1={kTop} y2={kHigh - kBottom} />
            <text x={at} y={kHigh - kBottom + 18} text-anchor="middle">
              {fixed(l, 0)}
            </text>
          </g>
        );
      })}
      {p.line && (
        <>
          <polygon class="set-band" points={band("set")} />
          <polygon class="line-band" points={band("line")} />
          <path class="fit outside" d={path(p.line)} />
          <path class="fit" d={path(inside)} />
        </>
      )}
      {p.points.map((q) => (
        <g class={q.outlier ? "point aside" : "point newest"}>
          <line x1={x(q.load_kg)} x2={x(q.load_kg)} y1={y(q.velocity_mps - 2 * q.sigma_mps)} y2={y(q.velocity_mps + 2 * q.sigma_mps)} />
          <circle cx={x(q.load_kg)} cy={y(q.velocity_mps)} r={5} />
        </g>
      ))}
      {shown && (
        <g class="reading">
          <line x1={x(shown.load_kg)} x2={x(shown.load_kg)} y1={kTop} y2={kHigh - kBottom} />
          <text x={kWide - kRight - 4} y={kTop + 18} text-anchor="end">
            {mass(shown.load_kg)}: {fixed(shown.velocity_mps, 2)} m/s, one set {fixed(shown.set[0], 2)} to {fixed(shown.set[1], 2)}
          </text>
        </g>
      )}
      <text class="axis" x={kWide - kRight} y={kHigh - 6} text-anchor="end">
        mean load on the way up, {unit}
      </text>
      <text class="axis" x={4} y={14}>
        mean velocity, m/s
      </text>
    </svg>
  );
}

const worked = (w: Worked, decimals: number, per = 1) => `${fixed(w.value / per, decimals)}${w.interval ? ` (${fixed(w.interval[0] / per, decimals)} to ${fixed(w.interval[1] / per, decimals)})` : ""}`;
const workedMass = (w: Worked) => `${mass(w.value)}${w.interval ? ` (${mass(w.interval[0])} to ${mass(w.interval[1])})` : ""}`;

export function ProfileCard({ p, zone }: { p: ProfileReply; zone: ZoneReply | null }) {
  const fv = p.force_velocity;
  return (
    <section class="card profile-card">
      <h2>
        Velocity at each load <span class="hint">{variantWords(p)}</span>
      </h2>
      {p.points.length > 0 && <Chart p={p} zone={zone} />}
      {!p.line && <Nothing>{p.no_line}</Nothing>}
      {p.line && <p class="hint">Dark band: where the line lies. Light band: where one more set on another day will lie. Broken line: loads that were not lifted yet.{p.pooled_lifters > 0 ? ` Leans on the sets of ${p.pooled_lifters} lifters.` : ""}{p.assumed_scatter ? " The scatter from set to set is assumed." : ""}</p>}
      {fv && (
        <dl class="pairs">
          <div>
            <dt>Highest mean power</dt>
            <dd>
              {worked(fv.pmax_w, 0)} W at {workedMass(fv.best_load_kg)}
            </dd>
          </div>
          <div>
            <dt>Force at no velocity, velocity at no load</dt>
            <dd>
              {worked(fv.f0_n, 0)} N, {worked(fv.v0_mps, 2)} m/s
            </dd>
          </div>
        </dl>
      )}
      <NotesList notes={p.notes} />
    </section>
  );
}

export function ZoneCard({ zones }: { zones: ZoneReply[] }) {
  if (!zones.length) return null;
  return (
    <section class="card zone-card">
      <h2>Zone: both force and speed</h2>
      {zones.map((z) => (
        <div class="zone-entry">
          <p class="hint">{variantWords(z)}</p>
          {z.from_kg && z.to_kg && (
            <p class="zone-loads">
              {mass(z.from_kg.value)} to {mass(z.to_kg.value)}
              {z.velocity_mps && (
                <span>
                  {fixed(z.velocity_mps[0], 2)} to {fixed(z.velocity_mps[1], 2)} m/s
                </span>
              )}
            </p>
          )}
          <p>{z.words}</p>
          {z.club_rule_kg && (
            <p class="hint">
              The club's 50 to 60 % rule gives {mass(z.club_rule_kg[0])} to {mass(z.club_rule_kg[1])}.
            </p>
          )}
          <NotesList notes={z.notes} />
        </div>
      ))}
      <Caution>{kLoadCaution}</Caution>
    </section>
  );
}
