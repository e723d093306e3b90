import { useState } from "preact/hooks";
import { of, post } from "../api";
import { runningJobs, sessions, state } from "../live";
import type { DaySummary, Summary } from "../model";
import { Field, Nothing, Title, Trouble } from "../parts/basics";
import { SampleDay } from "../parts/sample_day";
import { JobList } from "../parts/job_list";
import { LifterHead, sharedBy, SetLine, useSessions } from "../parts/set_line";
import { useGet } from "../parts/use_get";
import { go, link } from "../router";
import { dayInWords, shortDay } from "../units";
import { troubleOf } from "../uploads";
import { kCaution } from "../words";

/** The day at a glance: every lifter, every set, what was fast and what slowed. */

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

/** The recordings of a whole day, where doubts are settled. */
function Recordings({ here }: { here: DaySummary[] }) {
  if (!here.length) return null;
  return (
    <ul class="plain recordings" aria-label="Whole days">
      {here.map((d) => (
        <li>
          <a class="card big-link" href={link("recording", d.name)}>
            <b>{d.name}</b>
            <span class="hint">
              {d.sets} sets found for {d.sheet}
              {d.missed > 0 && `, ${d.missed} not seen`}
            </span>
            {d.doubtful > 0 && (
              <span class="doubt">
                <span aria-hidden="true">?</span> {d.doubtful} doubtful: say whose
              </span>
            )}
          </a>
        </li>
      ))}
    </ul>
  );
}

const kFewLifters = 4;
const cardOf = (lifter: string) => `lifter-${encodeURIComponent(lifter)}`;

/** On a phone many lifters are a long way down. */
function Jump({ lifters }: { lifters: string[] }) {
  return (
    <nav class="jump no-print" aria-label="Lifters of the day">
      {lifters.map((l) => (
        <button type="button" onClick={() => document.getElementById(cardOf(l))?.scrollIntoView()}>
          {l || "Not known"}
        </button>
      ))}
    </nav>
  );
}

/** Sets of which neither sheet nor recording told the day: the coach says it once for all of them. */
function SayTheDay({ sets }: { sets: Summary[] }) {
  const [day, setDay] = useState("");
  const [trouble, setTrouble] = useState("");
  const [busy, setBusy] = useState(false);
  async function say(e: Event) {
    e.preventDefault();
    setBusy(true);
    setTrouble("");
    try {
      for (const s of sets) await post(of(s.id, "corrections"), { kind: "day", day });
      go("day", day);
    } catch (cause) {
      setTrouble(troubleOf(cause));
    } finally {
      setBusy(false);
    }
  }
  return (
    <form class="card say-day no-print" onSubmit={(e) => void say(e)} aria-label="Say the day">
      <Field label="On which day were these lifted?" hint="Neither sheet nor recording tells.">
        <input type="date" required value={day} onInput={(e) => setDay(e.currentTarget.value)} />
      </Field>
      <button disabled={busy || !day}>Put them on this day</button>
      <Trouble words={trouble} />
    </form>
  );
}

function Welcome() {
  return (
    <>
      <Title>Nothing in the logbook yet</Title>
      <div class="welcome">
        <section class="card">
          <h2>Begin with a clip</h2>
          <p>Film a set from the side with a phone on a tripod, the disc on the near end of the bar in clear view. Then add the clip: every rep comes back with how fast the bar rose, and how sure that is. A recording of the whole session does as well, with a sheet of who lifted what.</p>
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
  const days = [...new Set((all ?? []).map((s) => s.day))].sort().reverse();
  const day = asked === "unknown" ? "" : days.includes(asked) ? asked : (days[0] ?? "");
  const ofDay = (all ?? []).filter((s) => s.day === day);
  const lifters = byLifter(ofDay);
  const recordings = useGet<{ days: DaySummary[] }>(all && "/api/days", all);
  const known = useSessions(lifters.flatMap(([, own]) => own.map((s) => s.id)));
  if (all === null) return <Title>{state.value ? "Reading the logbook…" : "…"}</Title>;
  if (!all.length && !runningJobs.value.length) return <Welcome />;
  // Each lifter's card comes whole, and below the others and what stands above them: nothing jumps.
  const waits = recordings.ready ? lifters.findIndex(([, own]) => !own.every((s) => known.has(s.id))) : 0;
  const here = waits < 0 ? lifters : lifters.slice(0, waits);
  return (
    <>
      <Title beside={days.length > 1 && <DayChoice days={days} day={day} />}>{day || ofDay.length ? dayInWords(day) : "The day"}</Title>
      <JobList jobs={runningJobs.value} label="Being measured" />
      <Recordings here={recordings.reply?.days.filter((d) => (d.held_on ?? "") === day) ?? []} />
      {recordings.ready && day === "" && ofDay.length > 0 && <SayTheDay sets={ofDay} />}
      {!ofDay.length && <Nothing>The first set shows here as soon as it is measured.</Nothing>}
      {recordings.ready && lifters.length > kFewLifters && <Jump lifters={lifters.map(([l]) => l)} />}
      <div class="day">
        {here.map(([lifter, own]) => (
          <section class="lifter-card" id={cardOf(lifter)} aria-label={lifter || "Lifter not known"}>
            <LifterHead name={lifter || "Lifter not known yet"} shared={sharedBy(own)} />
            {own.map((s) => (
              <SetLine key={s.id} set={s} session={known.get(s.id) ?? null} shared={sharedBy(own)} />
            ))}
          </section>
        ))}
      </div>
      {here.length === lifters.length && <p class="fine">{kCaution}</p>}
    </>
  );
}
