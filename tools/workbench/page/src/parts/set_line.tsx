import { useEffect, useState } from "preact/hooks";
import { get, of } from "../api";
import type { Session, Summary } from "../model";
import { link } from "../router";
import { fixed, mass, ok } from "../units";
import { gathered } from "../words";
import { Flag } from "./basics";
import { RepBars } from "./rep_bars";

/** A lifter's sets, one a line, under a head that says once what holds for all of them. */

export type Sessions = Map<string, Session | null>;

const kAtOnce = 12;

/** The sessions of these sets, in their order, some at a time. A stored session never changes: each is asked for but once. */
export function useSessions(ids: string[]): Sessions {
  const [known, setKnown] = useState<Sessions>(new Map());
  useEffect(() => {
    const missing = ids.filter((id) => !known.has(id));
    let gone = false;
    const one = (id: string) =>
      get<Session>(of(id) + "?samples=0").then(
        (s): [string, Session | null] => [id, s],
        (): [string, null] => [id, null],
      );
    void (async () => {
      for (let i = 0; i < missing.length && !gone; i += kAtOnce) {
        const list = await Promise.all(missing.slice(i, i + kAtOnce).map(one));
        if (!gone) setKnown((before) => new Map([...before, ...list]));
      }
    })();
    return () => {
      gone = true;
    };
  }, [ids.join("\n")]);
  return known;
}

function lossOfLast(s: Session): string {
  const last = s.reps.at(-1)?.velocity_loss;
  return ok(last) ? `${fixed(100 * last.value, 0)} %` : "–";
}

const loadWords = (s: Summary) => (s.load_kg === null ? "load not known" : mass(s.load_kg)) + (s.accommodating ? ` + ${s.accommodating}` : "");

/** What is the same in all of several sets, and so is said once above them. */
export interface Shared {
  lift: string;
  load: string;
}

export function sharedBy(sets: Summary[]): Shared {
  const one = (words: (s: Summary) => string) => (sets.length > 1 && new Set(sets.map(words)).size === 1 ? words(sets[0]!) : "");
  const lift = one((s) => s.lift);
  return { lift, load: lift && one(loadWords) };
}

export const kNothingShared: Shared = { lift: "", load: "" };

export function LifterHead({ name, shared }: { name: string; shared: Shared }) {
  const same = [shared.lift, shared.load].filter(Boolean).join(", ");
  return (
    <header class="lifter-head">
      <h2>{name}</h2>
      {same && <span class="set-load">{same}</span>}
      <span class="hint" aria-hidden="true">
        fastest m/s
      </span>
      <span class="hint" aria-hidden="true">
        lost by the last
      </span>
    </header>
  );
}

/** One set in a line, without what its head says. */
export function SetLine({ set, session, shared }: { set: Summary; session: Session | null; shared: Shared }) {
  const brief = shared.load !== "";
  const flags = gathered(session?.reps.flatMap((r) => r.flags) ?? []);
  const number = session?.plan?.set;
  const which = number ? `set ${number}` : "";
  const facts = [brief ? "" : which, set.start, `${set.reps} rep${set.reps === 1 ? "" : "s"}`, set.corrected ? "corrected" : ""].filter(Boolean).join(" · ");
  return (
    <a class={brief ? "set-line brief" : "set-line"} href={link("set", set.id)}>
      <span class="set-what">
        {brief ? (
          <span class="set-lift">{which || "set"}</span>
        ) : (
          <>
            {!shared.lift && <span class="set-lift">{set.lift || set.source}</span>}
            <span class="set-load">{loadWords(set)}</span>
          </>
        )}
        <span class="hint">{facts}</span>
      </span>
      {session ? <RepBars reps={session.reps} /> : <span class="rep-bars" />}
      <b class="set-number">
        {set.fastest_mps === null ? "–" : fixed(set.fastest_mps, 2)}
        <span class="unseen"> m/s fastest</span>
      </b>
      <b class="set-number">
        {session ? lossOfLast(session) : "–"}
        <span class="unseen"> lost by the last</span>
      </b>
      {flags.length > 0 && (
        <span class="set-flags">
          {flags.map((f) => (
            <Flag flag={f} />
          ))}
        </span>
      )}
    </a>
  );
}
