import type { Rep } from "../model";
import { fixed, ok } from "../units";

/** The reps of a set as columns: how high tells how fast, so that a set that slows is seen from afar. */
export function RepBars({ reps }: { reps: Rep[] }) {
  const speed = (r: Rep) => (ok(r.mean_velocity_mps) ? r.mean_velocity_mps.value : null);
  const fastest = Math.max(0.01, ...reps.map((r) => speed(r) ?? 0));
  const words = reps.map((r) => (speed(r) === null ? "not measured" : fixed(speed(r)!, 2))).join(", ");
  return (
    <span class="rep-bars" role="img" aria-label={`Mean velocities in m/s, rep by rep: ${words}`}>
      {reps.map((r) => {
        const v = speed(r);
        const kind = v === null ? "none" : r.flags.includes("slowed") ? "slow" : "";
        return <span class={`rep-bar ${kind}`} style={{ height: `${v === null ? 100 : Math.max(6, (100 * v) / fastest)}%` }} />;
      })}
    </span>
  );
}
