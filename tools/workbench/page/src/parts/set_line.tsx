import { of } from "../api";
import type { Session, Summary } from "../model";
import { link } from "../router";
import { fixed, mass, ok } from "../units";
import { gathered } from "../words";
import { Flag } from "./basics";
import { RepBars } from "./rep_bars";
import { useGet } from "./use_get";

/** A set's reps and flags. A stored session never changes, so the browser asks for each but once. */
function useSession(id: string): Session | null {
  return useGet<Session>(of(id) + "?samples=0").reply;
}

function lossOfLast(s: Session): string {
  const last = s.reps.at(-1)?.velocity_loss;
  return ok(last) ? `${fixed(100 * last.value, 0)} %` : "–";
}

/** One set in a line. */
export function SetLine({ set }: { set: Summary }) {
  const session = useSession(set.id);
  const flags = gathered(session?.reps.flatMap((r) => r.flags) ?? []);
  const number = session?.plan?.set;
  return (
    <a class="set-line" href={link("set", set.id)}>
      <span class="set-what">
        <span class="set-lift">{set.lift || set.source}</span>
        <span class="set-load">
          {set.load_kg === null ? "load not known" : mass(set.load_kg)}
          {set.accommodating ? ` + ${set.accommodating}` : ""}
        </span>
        <span class="hint">{[number ? `set ${number}` : "", set.start, `${set.reps} rep${set.reps === 1 ? "" : "s"}`, set.corrected ? "corrected" : ""].filter(Boolean).join(" · ")}</span>
      </span>
      {session ? <RepBars reps={session.reps} /> : <span class="rep-bars" />}
      <span class="set-number">
        <b>{set.fastest_mps === null ? "–" : fixed(set.fastest_mps, 2)}</b>
        <span class="hint">m/s fastest</span>
      </span>
      <span class="set-number">
        <b>{session ? lossOfLast(session) : "…"}</b>
        <span class="hint">lost by the last</span>
      </span>
      <span class="set-flags">{flags.length ? flags.map((f) => <Flag flag={f} />) : <span class="hint">{session ? "nothing to note" : ""}</span>}</span>
    </a>
  );
}
