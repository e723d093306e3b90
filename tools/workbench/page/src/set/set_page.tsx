import { useEffect } from "preact/hooks";
import { jobs, sessions } from "../live";
import type { Session } from "../model";
import { Title, Trouble } from "../parts/basics";
import { JobList } from "../parts/job_list";
import { of } from "../api";
import { link } from "../router";
import { fixed, mass, ok } from "../units";
import { kCaution } from "../words";
import { FixPanel } from "./fix_panel";
import { about, busy, dropDraft, followed, goOn, id as openId, lookForNewer, open, pointing, preview, session, shown, trouble } from "./open_set";
import { Findings, LoadTable, Notes, RepTable } from "./rep_table";
import { VelocityHeight } from "./velocity_height";
import { VelocityTime } from "./velocity_time";
import { Viewer } from "./viewer";

/** One set: the table, the clip, the plots, and the means to put right what is wrong. */

function gearWords(s: Session): string {
  const loading = s.options.loading;
  const words = [...(loading?.chains ?? []), ...(loading?.bands ?? [])].map((g) => `${g.strands ?? g.count ?? ""} × ${g.name}`);
  return words.length ? " + " + words.join(" + ") : "";
}

function Who({ s }: { s: Session }) {
  const p = s.plan;
  if (!p) return <Title>Lifter not known yet</Title>;
  return <Title>{p.lifter}</Title>;
}

/** Back to the whole day that the set was cut out of, where its row is settled. */
function DayLink() {
  const day = about.value?.day_recording;
  return day ? <a href={link("recording", day)}>Whose set is it? {day}</a> : null;
}

function What({ s }: { s: Session }) {
  const p = s.plan;
  if (!p) {
    return (
      <p class="what">
        {s.provenance.source_name} <DayLink />
      </p>
    );
  }
  const box = p.box_height_m === null ? "" : ` on a box of ${Number(fixed(100 * p.box_height_m, 1))} cm`;
  return (
    <p class="what">
      <b>
        {p.lift}
        {box}
      </b>
      <b class="what-load">
        {mass(p.stated_load_kg)}
        {gearWords(s)}
      </b>
      <DayLink />
      <span class="hint">{[p.bar, p.set === null ? "" : `set ${p.set}`, p.start, s.provenance.source_name].filter(Boolean).join(" · ")}</span>
    </p>
  );
}

/** The three numbers a coach asks for first. */
function Headline({ s }: { s: Session }) {
  const reps = s.reps.filter((r) => ok(r.mean_velocity_mps));
  if (!reps.length) return null;
  const mean = (r: (typeof reps)[number]) => (ok(r.mean_velocity_mps) ? r.mean_velocity_mps.value : 0);
  const fastest = reps.reduce((a, b) => (mean(b) > mean(a) ? b : a));
  const last = s.reps.at(-1)!;
  return (
    <dl class="headline">
      <div>
        <dt>Reps</dt>
        <dd>{s.reps.length}</dd>
      </div>
      <div>
        <dt>Fastest, m/s</dt>
        <dd>{fixed(mean(fastest), 2)}</dd>
      </div>
      <div>
        <dt>Lost by the last</dt>
        <dd>{ok(last.velocity_loss) ? `${fixed(100 * last.velocity_loss.value, 0)} %` : "–"}</dd>
      </div>
    </dl>
  );
}

function Settings({ s }: { s: Session }) {
  const o = s.options;
  return (
    <p class="fine">
      ± is half of the 95 % interval. Rise counted from {o.threshold_mps} m/s up to {o.threshold_mps} m/s at the top; disc {Math.round(1000 * o.disc_diameter_m)} mm across; slowed means {Math.round(100 * o.slowed_loss)} % below the set's fastest. {kCaution}
    </p>
  );
}

function Newer() {
  const a = about.value;
  if (!a || a.newest === openId.value || busy.value) return null;
  return (
    <p class="newer" role="status">
      This set was corrected meanwhile. <a href={link("set", a.newest)}>Show the newest numbers</a>
    </p>
  );
}

/** A clip that is measured again because of a correction: when it is done its result takes this one's place. */
function useFollowJob() {
  const mine = jobs.value.filter((j) => j.kind === "correct" && (j.clip ?? j.log) === session.value?.provenance.source_name);
  for (const j of mine) if (j.state === "running" || j.state === "waiting") followed.add(j.id);
  const done = mine.find((j) => j.state === "done" && j.session && followed.has(j.id));
  useEffect(() => {
    if (!done?.session) return;
    followed.delete(done.id);
    void goOn(done.session);
  }, [done?.id]);
  return mine.filter((j) => j.state !== "done" && followed.has(j.id));
}

/** Escape takes back what is being tried and not stored. */
function useEscape() {
  useEffect(() => {
    const key = (e: KeyboardEvent) => {
      if (e.key !== "Escape") return;
      if (pointing.value) pointing.value = null;
      else dropDraft();
    };
    addEventListener("keydown", key);
    return () => removeEventListener("keydown", key);
  }, []);
}

export function SetPage({ id }: { id: string }) {
  useEffect(() => {
    if (id !== openId.value || !session.value) void open(id);
  }, [id]);
  useEffect(() => void lookForNewer(), [sessions.value]);
  const again = useFollowJob();
  useEscape();
  const s = session.value;
  if (!s) return trouble.value ? <><Title beside={<a class="button" href={link("day")}>To the day</a>}>This set cannot be shown</Title><Trouble words={trouble.value} /></> : <Title>Reading the set…</Title>;
  return (
    <div class="set-page">
      <div class="set-top">
        <header class="set-head">
          <div>
            <Who s={s} />
            <What s={s} />
          </div>
          <Headline s={shown.value ?? s} />
        </header>
        <Newer />
        <JobList jobs={again} label="Being measured again" />
      </div>
      <div class="set-numbers">
        <Trouble words={trouble.value} />
        <p class="trying" hidden={!preview.value || busy.value}>
          These numbers are a trial and not stored.
        </p>
        <RepTable />
        <Findings />
      </div>
      <div class="set-clip">
        <Viewer />
        <VelocityTime />
        <FixPanel />
      </div>
      <div class="set-more">
        <VelocityHeight />
        <LoadTable />
      </div>
      <footer class="set-foot">
        <Notes />
        <div class="actions export">
          <a class="button" href={of(id, "export.csv")} download>
            Numbers (CSV)
          </a>
          <a class="button" href={of(id, "export.json")} download>
            Whole session (JSON)
          </a>
          <a class="button" href={of(id, "plot.svg")} download>
            Plot (SVG)
          </a>
          <button type="button" onClick={() => print()}>
            Print
          </button>
        </div>
        <Settings s={s} />
      </footer>
    </div>
  );
}
