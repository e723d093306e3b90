import { useState } from "preact/hooks";
import type { Profile, Worked } from "../model";
import { fixed, inUnit, massUnit } from "../units";
import { kLoadCaution } from "../words";
import { steps } from "./axis";
import { Caution } from "./basics";
import { NotesList, told } from "./notes_list";

/** The load–velocity line of a lifter with its bands, and the zone of loads that follows from it. */

const kHigh = 420;
const kRight = 18;
const kTop = 30;
const kBottom = 46;

export const variantWords = (v: { bar: string; box_height_m: number | null; accommodating: string }) =>
  [v.bar, v.box_height_m ? `box ${Math.round(100 * v.box_height_m)} cm` : "", v.accommodating].filter(Boolean).join(", ") || "any bar";

function Chart({ p }: { p: Profile }) {
  const zone = p.zone?.state === "fixed" || p.zone?.state === "unsure" ? p.zone : null;
  const unit = massUnit.value;
  const narrow = innerWidth <= 620; // drawn smaller, so that its words are as large
  const kWide = narrow ? 420 : 640;
  const kLeft = narrow ? 58 : 52;
  const loads = [...p.points.map((q) => q.load_kg), ...p.predictions.map((q) => q.load_kg)].map((kg) => inUnit(kg, unit));
  const [hover, setHover] = useState<number | null>(null);
  const most = Math.max(...loads);
  const least = Math.min(...loads);
  const spread = Math.max(most - least, 0.2 * most);
  const all = steps(most + 0.05 * spread, narrow ? 6 : 9);
  const ls = all.filter((l) => l >= least - 0.1 * spread - all[1]!);
  const vs = steps(Math.max(...p.points.map((q) => q.velocity_mps.hi), ...p.predictions.map((q) => q.set_mps.hi)), 5);
  const x = (kg: number) => kLeft + ((inUnit(kg, unit) - ls[0]!) / (ls.at(-1)! - ls[0]!)) * (kWide - kLeft - kRight);
  const y = (v: number) => kHigh - kBottom - (Math.max(0, v) / vs.at(-1)!) * (kHigh - kTop - kBottom);
  const line = p.predictions;
  const band = (which: "line_mps" | "set_mps") =>
    [...line.map((q) => `${x(q.load_kg).toFixed(1)},${y(q[which].hi).toFixed(1)}`), ...[...line].reverse().map((q) => `${x(q.load_kg).toFixed(1)},${y(q[which].lo).toFixed(1)}`)].join(" ");
  const inside = line.filter((q) => !q.beyond_lifted);
  const path = (points: Profile["predictions"]) => points.map((q, i) => `${i ? "L" : "M"}${x(q.load_kg).toFixed(1)} ${y(q.line_mps.value).toFixed(1)}`).join("");
  const shown = hover === null ? null : line[hover];
  function move(e: PointerEvent) {
    if (!line.length) return;
    const box = (e.currentTarget as SVGElement).getBoundingClientRect();
    const at = ((e.clientX - box.left) / box.width) * kWide;
    setHover(line.reduce((best, q, i) => (Math.abs(x(q.load_kg) - at) < Math.abs(x(line[best]!.load_kg) - at) ? i : best), 0));
  }
  return (
    <svg class="vh profile" viewBox={`0 0 ${kWide} ${kHigh}`} role="img" aria-label={`Mean velocity over load, ${p.points.length} sets${line.length ? ", with the line and its bands" : ""}`} onPointerMove={move} onPointerLeave={() => setHover(null)}>
      {zone?.low && zone.high && (
        <g class="zone">
          <rect x={x(zone.low.load_kg.value)} width={Math.max(2, x(zone.high.load_kg.value) - x(zone.low.load_kg.value))} y={kTop} height={kHigh - kTop - kBottom} />
          <text x={(x(zone.low.load_kg.value) + x(zone.high.load_kg.value)) / 2} y={kTop + 16} text-anchor="middle">
            {zone.state === "fixed" ? "zone" : "zone?"}
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
      {line.length > 0 && (
        <>
          <polygon class="set-band" points={band("set_mps")} />
          <polygon class="line-band" points={band("line_mps")} />
          <path class="fit outside" d={path(line)} />
          <path class="fit" d={path(inside)} />
        </>
      )}
      {p.points.map((q) => (
        <g class={q.set_aside ? "point aside" : "point newest"}>
          <line x1={x(q.load_kg)} x2={x(q.load_kg)} y1={y(q.velocity_mps.lo)} y2={y(q.velocity_mps.hi)} />
          <circle cx={x(q.load_kg)} cy={y(q.velocity_mps.value)} r={5} />
        </g>
      ))}
      {shown && (
        <g class="reading">
          <line x1={x(shown.load_kg)} x2={x(shown.load_kg)} y1={kTop} y2={kHigh - kBottom} />
          <text x={kWide - kRight - 4} y={kTop + 20} text-anchor="end">
            {fixed(inUnit(shown.load_kg, unit), 0)} {unit}: {fixed(shown.line_mps.value, 2)} m/s,
            <tspan x={kWide - kRight - 4} dy="1.3em">
              one more set {fixed(shown.set_mps.lo, 2)} to {fixed(shown.set_mps.hi, 2)}
            </tspan>
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

const whole = (kg: number) => fixed(inUnit(kg, massUnit.value), 0);
const between = (w: Worked, words: (v: number) => string) => (w.lo === null || w.hi === null ? "" : ` (${words(w.lo)} to ${words(w.hi)})`);
const worked = (w: Worked, decimals: number) => `${fixed(w.value, decimals)}${between(w, (v) => fixed(v, decimals))}`;
const workedMass = (w: Worked) => `${whole(w.value)}${between(w, whole)} ${massUnit.value}`;

export function ProfileCard({ p }: { p: Profile }) {
  const fv = p.force_velocity;
  return (
    <section class="card profile-card">
      <h2>
        Velocity at each load <span class="hint">{variantWords(p)}</span>
      </h2>
      {p.points.length > 0 && <Chart p={p} />}
      {p.predictions.length > 0 && <p class="hint">Dark band: where the line lies. Light band: where one more set on another day will lie. Broken line: loads that were not lifted yet.</p>}
      {fv && (
        <dl class="pairs">
          <div>
            <dt>Highest mean power</dt>
            <dd>
              {worked(fv.pmax_w, 0)} W at {workedMass(fv.best_load_kg)}
            </dd>
          </div>
          <div>
            <dt>Force at no velocity</dt>
            <dd>{worked(fv.f0_n, 0)} N</dd>
          </div>
          <div>
            <dt>Velocity at no load</dt>
            <dd>{worked(fv.v0_mps, 2)} m/s</dd>
          </div>
        </dl>
      )}
      <ul class="notes">
        {p.words.map((w) => (
          <li>{w}</li>
        ))}
      </ul>
      <NotesList notes={told(p.notes)} />
      {p.best_single.caution && <p class="hint">{p.best_single.caution}</p>}
    </section>
  );
}

export function ZoneCard({ profiles }: { profiles: Profile[] }) {
  const zones = profiles.flatMap((p) => (p.zone ? [{ p, z: p.zone }] : []));
  if (!zones.length) return null;
  return (
    <section class="card zone-card">
      <h2>Zone: both force and speed</h2>
      {zones.map(({ p, z }) => (
        <div class="zone-entry">
          <p class="hint">{variantWords(p)}</p>
          {z.state === "fixed" && z.low && z.high && (
            <p class="zone-loads">
              {whole(z.low.load_kg.value)} to {whole(z.high.load_kg.value)} {massUnit.value}
              <span>
                mean load; {fixed(z.high.velocity_mps, 2)} to {fixed(z.low.velocity_mps, 2)} m/s
              </span>
            </p>
          )}
          <ul class="notes">
            {z.words.map((w) => (
              <li>{w}</li>
            ))}
          </ul>
        </div>
      ))}
      <Caution>{kLoadCaution}</Caution>
    </section>
  );
}
