import { fixed } from "../units";

/** The reps of a set as columns: how high tells how fast, so that a set that slows is seen from afar. */
export function RepBars({ velocities, lossLimit }: { velocities: (number | null)[]; lossLimit: number }) {
  const fastest = Math.max(0.01, ...velocities.map((v) => v ?? 0));
  const words = velocities.map((v) => (v === null ? "not measured" : fixed(v, 2))).join(", ");
  return (
    <span class="rep-bars" role="img" aria-label={`Mean velocities in m/s, rep by rep: ${words}`}>
      {velocities.map((v) => {
        const share = v === null ? 1 : v / fastest;
        const kind = v === null ? "none" : share < 1 - lossLimit ? "slow" : "";
        return <span class={`rep-bar ${kind}`} style={{ height: `${Math.max(6, 100 * share)}%` }} />;
      })}
    </span>
  );
}
