import { useRef, useState } from "preact/hooks";
import { of, post } from "../api";
import { jobs, knownJob, runningJobs, sessions } from "../live";
import { type About, dayNameOf, type DayReply, type FoundSet, type Job, type PlannedRow, type Summary } from "../model";
import { Title, Trouble } from "../parts/basics";
import { JobList } from "../parts/job_list";
import { NotesList } from "../parts/notes_list";
import { kNothingShared, LifterHead, type Sessions, SetLine, useSessions } from "../parts/set_line";
import { useGet } from "../parts/use_get";
import { link } from "../router";
import { dayInWords, massWords } from "../units";
import { troubleOf } from "../uploads";
import { kCaution } from "../words";

/** A whole day from one recording: every lifter's sets, how sure it is whose each was, and the coach's word on it. */

const address = (name: string, part = "") => `/api/days/${encodeURIComponent(name)}${part}`;

const rowWords = (r: PlannedRow) => [`row ${r.row}`, r.lifter, r.lift, massWords(r.load), r.set === null ? "" : `set ${r.set}`, r.start].filter(Boolean).join(", ");

const kNobody = "nobody";
const kOpen = "open";

/** What the match is worth, in a word and a sign. */
function Worth({ set }: { set: FoundSet }) {
  const kind = set.corrected ? "word" : set.row === null ? "extra" : set.certainty;
  const sign = { word: "✓", certain: "✓", likely: "~", doubtful: "?", extra: "+" }[kind];
  return (
    <span class={`worth ${kind}`}>
      <span class="worth-sign" aria-hidden="true">
        {sign}
      </span>
      {set.match}
    </span>
  );
}

/** The coach's word: kept at once, and worked into the numbers by a job. */
function Word({ set, day, onTold }: { set: FoundSet; day: DayReply; onTold: () => void }) {
  const [trouble, setTrouble] = useState("");
  const told = set.told ? (set.told.row === null ? kNobody : String(set.told.row)) : kOpen;
  async function say(value: string) {
    const word = value === kOpen ? { open: true } : { row: value === kNobody ? null : Number(value) };
    try {
      const reply = await post<{ job: Job }>(address(day.name, "/sets"), { set: set.number, ...word });
      knownJob(reply.job);
      setTrouble("");
    } catch (cause) {
      setTrouble(troubleOf(cause));
    }
    onTold();
  }
  const candidates = set.alternatives.length ? [...new Set([set.row, ...set.alternatives.map((a) => a.row)])].flatMap((row) => day.day.rows.filter((r) => r.row === row)) : [];
  const pending = set.told !== null && (!set.corrected || set.told.row !== set.row);
  return (
    <div class="word">
      {candidates.length > 0 && (
        <div class="actions" role="group" aria-label={`Whose set ${set.number} is`}>
          {candidates.map((r) => (
            <button type="button" aria-pressed={told === String(r.row)} onClick={() => void say(String(r.row))}>
              {r.lifter}, row {r.row}
            </button>
          ))}
          <button type="button" aria-pressed={told === kNobody} onClick={() => void say(kNobody)}>
            Nobody's
          </button>
        </div>
      )}
      <label class="field">
        <span class="field-label">Set {set.number} is</span>
        <select value={told} onChange={(e) => void say(e.currentTarget.value)}>
          <option value={kOpen}>{set.told ? "not sure: leave it to the program" : set.row === null ? "no row's, says the program" : `row ${set.row}, says the program`}</option>
          {day.day.rows.map((r) => (
            <option value={String(r.row)}>{rowWords(r)}</option>
          ))}
          <option value={kNobody}>nobody's: not on the sheet</option>
        </select>
      </label>
      {pending && <p class="hint" role="status">Your word is kept. The numbers follow in a moment.</p>}
      <Trouble words={trouble} />
    </div>
  );
}

function Doubt({ set }: { set: FoundSet }) {
  if (!set.alternatives.length && !set.like) return null;
  return (
    <p class="doubt-words">
      {set.alternatives.length > 0 && <>It could also be {set.alternatives.map((a) => a.words).join("; or ")}. </>}
      {set.like && <>It moves like {set.like}. </>}
      {set.against.length > 0 && <span class="hint">Seen of it: {set.against.slice(0, 3).join(", ")}.</span>}
    </p>
  );
}

/** A picture of the set, as whoever watched will know the lifter by sight. */
function Glimpse({ session, number }: { session: string; number: number }) {
  const { reply } = useGet<About>(of(session, "about"));
  if (reply && !reply.frames) return null;
  return (
    <a class="glimpse" href={link("set", session)}>
      {reply && <img src={of(session, `frames/${Math.floor(reply.frames / 2)}.jpg?width=480`)} alt={`The middle of set ${number}`} loading="lazy" />}
    </a>
  );
}

interface Shown {
  day: DayReply;
  known: Map<string, Summary>;
  stored: Sessions;
  onTold: () => void;
}

function FoundLine({ set, day, known, stored, onTold }: Shown & { set: FoundSet }) {
  const open = !set.corrected && (set.row === null || set.certainty === "doubtful");
  const summary = set.session ? known.get(set.session) : undefined;
  return (
    <li class={open ? "found open" : "found"} data-set={set.number} data-row={set.row ?? undefined}>
      {summary ? <SetLine set={summary} session={stored.get(summary.id) ?? null} shared={kNothingShared} /> : <p class="hint">Set {set.number}: its file is not in the logbook any more.</p>}
      <details class="found-whose" open={open}>
        <summary>
          <span class="hint">
            No. {set.number}, {set.begins}
          </span>
          <Worth set={set} />
        </summary>
        <div class="found-asked">
          <div>
            <Doubt set={set} />
            <Word set={set} day={day} onTold={onTold} />
          </div>
          {open && set.session && <Glimpse session={set.session} number={set.number} />}
        </div>
      </details>
    </li>
  );
}

/** One lifter's sets and the rows of which no set was seen, in the sheet's order. */
function Lifter({ lifter, ...shown }: Shown & { lifter: string }) {
  const { rows, sets, missed } = shown.day.day;
  return (
    <section class="lifter-card" aria-label={lifter}>
      <LifterHead name={lifter} shared={kNothingShared} />
      <ul class="plain">
        {rows
          .filter((r) => r.lifter === lifter)
          .map((r) => {
            const set = sets.find((s) => s.row === r.row);
            if (set) return <FoundLine key={`set ${set.number}`} set={set} {...shown} />;
            return (
              missed.includes(r.row) && (
                <li key={`row ${r.row}`} class="found missed" data-row={r.row}>
                  <span class="worth missed">
                    <span class="worth-sign" aria-hidden="true">
                      –
                    </span>
                    not seen
                  </span>{" "}
                  {rowWords(r)}
                </li>
              )
            );
          })}
      </ul>
    </section>
  );
}

function Extra(shown: Shown) {
  const extra = shown.day.day.sets.filter((s) => s.row === null);
  if (!extra.length) return null;
  return (
    <section class="lifter-card" aria-label="Not on the sheet">
      <LifterHead name="Not on the sheet" shared={kNothingShared} />
      <ul class="plain">
        {extra.map((s) => (
          <FoundLine key={s.number} set={s} {...shown} />
        ))}
      </ul>
    </section>
  );
}

function SheetChanged({ day, onTold }: { day: DayReply; onTold: () => void }) {
  const [trouble, setTrouble] = useState("");
  if (!day.sheet_there) return <p class="trouble">The sheet {day.sheet} is not in the logbook any more. What was measured stays.</p>;
  if (!day.sheet_changed) return null;
  const again = () =>
    void post<{ job: Job }>(address(day.name, "/again")).then(
      (r) => (knownJob(r.job), onTold()),
      (cause) => setTrouble(troubleOf(cause)),
    );
  return (
    <p class="newer" role="status">
      {day.sheet} was changed since. <button type="button" onClick={again}>Work it in</button>
      <Trouble words={trouble} />
    </p>
  );
}

function Count({ day }: { day: DayReply }) {
  const { sets, missed } = day.day;
  const doubtful = sets.filter((s) => s.row !== null && !s.corrected && s.certainty === "doubtful").length;
  const facts: [string, number][] = [
    ["sets found", sets.length],
    ["doubtful", doubtful],
    ["rows not seen", missed.length],
    ["not on the sheet", sets.filter((s) => s.row === null).length],
  ];
  return (
    <dl class="headline day-count">
      {facts.map(([words, n]) => (
        <div class={words === "doubtful" && n > 0 ? "look" : ""}>
          <dt>{words}</dt>
          <dd>{n}</dd>
        </div>
      ))}
    </dl>
  );
}

export function RecordingPage({ name }: { name: string }) {
  const [told, setTold] = useState(0);
  const its = jobs.value.filter((j) => j.kind === "day" && dayNameOf(j) === name);
  const mine = its.filter((j) => runningJobs.value.includes(j));
  const ended = its.filter((j) => j.state === "done").length;
  const failed = its.filter((j) => j.state === "failed");
  const { reply, trouble } = useGet<DayReply>(address(name), `${told} ${ended} ${sessions.value?.length}`);
  const ids = reply?.day.sets.flatMap((s) => s.session ?? []) ?? [];
  const stored = useSessions(ids);
  // Shown once all is here; later, a set that was measured anew comes by itself.
  const whole = useRef(false);
  if (reply && ids.every((id) => stored.has(id))) whole.current = true;
  if (!reply || sessions.value === null || !whole.current) {
    return (
      <>
        <Title>{name}</Title>
        <JobList jobs={[...mine, ...failed]} label="Being measured" />
        {!mine.length && <Trouble words={trouble} />}
      </>
    );
  }
  const day = reply;
  const known = new Map(sessions.value.map((s) => [s.id, s]));
  const lines = { day, known, stored, onTold: () => setTold((n) => n + 1) };
  const lifters = [...new Set(day.day.rows.map((r) => r.lifter))];
  return (
    <div class="recording">
      <header class="set-head">
        <div>
          <Title>{day.day.held_on ? dayInWords(day.day.held_on) : "A whole day"}</Title>
          <p class="what">
            <b>{day.name}</b>
            <span>
              with <a href={link("sheet", day.sheet)}>{day.sheet}</a>
            </span>
          </p>
        </div>
        <Count day={day} />
      </header>
      <JobList jobs={[...mine, ...failed]} label="Being worked in" />
      <SheetChanged day={day} onTold={lines.onTold} />
      <div class="day">
        {lifters.map((l) => (
          <Lifter key={l} lifter={l} {...lines} />
        ))}
        <Extra {...lines} />
      </div>
      <footer class="set-foot">
        <NotesList notes={day.day.notes} />
        <div class="actions export">
          <a class="button" href={address(name, "/filled.csv")} download>
            Filled sheet (CSV)
          </a>
          <a class="button" href={address(name, "/page.html")} target="_blank" rel="noopener">
            Page to print
          </a>
        </div>
        <p class="fine">{kCaution}</p>
      </footer>
    </div>
  );
}
