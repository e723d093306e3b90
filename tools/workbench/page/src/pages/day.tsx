import { of } from "../api";
import { runningJobs, sessions, state } from "../live";
import type { Session, Summary } from "../model";
import { Flag, Nothing, Title } from "../parts/basics";
import { RepBars } from "../parts/rep_bars";
import { SampleDay } from "../parts/sample_day";
import { JobList } from "../parts/job_list";
import { useGet } from "../parts/use_get";
import { go, link } from "../router";
import { dayInWords, fixed, mass, ok, shortDay } from "../units";
import { gathered, kCaution } from "../words";

/** The day at a glance: every lifter, every set, what was fast and what slowed. */

/** A set's reps and flags. A stored session never changes, so the browser asks for each but once. */
function useSession(id: string): Session | null {
  return useGet<Session>(of(id) + "?samples=0").reply;
}

function lossOfLast(s: Session): string {
  const last = s.reps.at(-1)?.velocity_loss;
  return ok(last) ? `${fixed(100 * last.value, 0)} %` : "–";
}

function SetLine({ set }: { set: Summary }) {
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

function byLifter(sets: Summary[]): [string, Summary[]][] {
  const groups = new Map<string, Summary[]>();
  for (const s of [...sets].sort((a, b) => a.start.localeCompare(b.start) || a.analysed_at.localeCompare(b.analysed_at))) {
    const name = s.lifter || "";
    groups.set(name, [...(groups.get(name) ?? []), s]);
  }
  return [...groups].sort(([a], [b]) => (a === "" ? 1 : b === "" ? -1 : 0));
}

function DayChoice({ days, day }: { days: string[]; day: string }) {
  const at = days.indexOf(day);
  const to = (d: string | undefined) => d !== undefined && go("day", d || "unknown");
  return (
    <div class="day-choice" role="group" aria-label="Day">
      <button type="button" aria-label="The day before" disabled={at >= days.length - 1} onClick={() => to(days[at + 1])}>
        ◂
      </button>
      <select aria-label="Day shown" value={day} onChange={(e) => to(e.currentTarget.value)}>
        {days.map((d) => (
          <option value={d}>{d ? shortDay(d) + " " + d.slice(0, 4) : "Day not known"}</option>
        ))}
      </select>
      <button type="button" aria-label="The day after" disabled={at <= 0} onClick={() => to(days[at - 1])}>
        ▸
      </button>
    </div>
  );
}

function Welcome() {
  return (
    <>
      <Title>Nothing in the logbook yet</Title>
      <div class="welcome">
        <section class="card">
          <h2>Begin with a clip</h2>
          <p>Film a set from the side with a phone on a tripod, the disc on the near end of the bar in clear view. Then add the clip: every rep comes back with how fast the bar rose, and how sure that is.</p>
          <a class="button main" href={link("add")}>
            Add a clip
          </a>
        </section>
        <SampleDay />
      </div>
    </>
  );
}

export function DayPage({ day: asked }: { day: string }) {
  const all = sessions.value;
  if (all === null) return <Title>{state.value ? "Reading the logbook…" : "…"}</Title>;
  if (!all.length && !runningJobs.value.length) return <Welcome />;
  const days = [...new Set(all.map((s) => s.day))].sort().reverse();
  const day = asked === "unknown" ? "" : days.includes(asked) ? asked : (days[0] ?? "");
  const sets = all.filter((s) => s.day === day);
  return (
    <>
      <Title beside={days.length > 1 && <DayChoice days={days} day={day} />}>{day || sets.length ? dayInWords(day) : "The day"}</Title>
      <JobList jobs={runningJobs.value} label="Being measured" />
      {!sets.length && <Nothing>The first set shows here as soon as it is measured.</Nothing>}
      <div class="day">
        {byLifter(sets).map(([lifter, own]) => (
          <section class="lifter-card" aria-label={lifter || "Lifter not known"}>
            <h2>{lifter || "Lifter not known yet"}</h2>
            {own.map((s) => (
              <SetLine key={s.id} set={s} />
            ))}
          </section>
        ))}
      </div>
      <p class="fine">{kCaution}</p>
    </>
  );
}
