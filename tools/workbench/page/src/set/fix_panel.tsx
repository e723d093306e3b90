import { useState } from "preact/hooks";
import { Choice, Field, Trouble } from "../parts/basics";
import { answerOf, choiceOf, isMissing, SetForm } from "../parts/set_form";
import { fixed, massWords, ok, timeOfDay, withInterval } from "../units";
import { about, busy, chosen, chosenRep, correct, draft, dropDraft, id, moveDraft, now_s, pointing, preview, same, session, shown, trialIsFresh, undo } from "./open_set";

/** Whatever the program got wrong is put right here. Nothing is lost: every correction stands in the history. */

type Tab = "rep" | "disc" | "set" | "history";

function step_s(): number {
  return 1 / Math.max(10, session.value?.clip?.frame_rate_hz ?? session.value?.log?.rate_hz ?? 30);
}

function Edge({ edge }: { edge: "start_s" | "end_s" }) {
  const rep = chosenRep.value;
  if (!rep) return null;
  const d = draft.value ?? { set: rep.set, rep: rep.rep, start_s: rep.start_s, end_s: rep.end_s };
  const name = edge === "start_s" ? "Start" : "End";
  const to = (t: number) => moveDraft({ ...d, [edge]: t });
  const fits = edge === "start_s" ? now_s.value < d.end_s : now_s.value > d.start_s;
  return (
    <div class="edge" role="group" aria-label={`${name} of rep ${rep.rep}`}>
      <span class="edge-name">{name}</span>
      <button type="button" class="square" aria-label={`${name} one picture earlier`} onClick={() => to(d[edge] - step_s())}>
        ◂
      </button>
      <output class="edge-time">{fixed(d[edge], 2)} s</output>
      <button type="button" class="square" aria-label={`${name} one picture later`} onClick={() => to(d[edge] + step_s())}>
        ▸
      </button>
      <button type="button" disabled={!fits} aria-label={`Here: ${name.toLowerCase()} at the cursor`} onClick={() => to(now_s.value)}>
        Here
      </button>
    </div>
  );
}

function DraftBar() {
  const d = draft.value;
  if (!d) return null;
  const before = session.value?.reps.find((r) => same(r, d));
  const after = preview.value?.reps.find((r) => same(r, d));
  return (
    <div class="draft" role="status" aria-busy={!trialIsFresh.value}>
      <p>
        {after ? (
          <>
            Mean velocity <b>{withInterval(after.mean_velocity_mps, 1, 3)}</b> m/s, was {before && ok(before.mean_velocity_mps) ? fixed(before.mean_velocity_mps.value, 3) : "not measured"}. Not stored yet.
          </>
        ) : (
          "Measuring anew…"
        )}
      </p>
      <div class="actions">
        <button type="button" class="main" disabled={busy.value} onClick={() => void correct({ kind: "move_rep", ...d })}>
          Keep
        </button>
        <button type="button" onClick={dropDraft}>
          Put back
        </button>
      </div>
    </div>
  );
}

function RepTab() {
  const rep = chosenRep.value;
  const [mark, setMark] = useState<number | null>(null);
  const key = chosen.value;
  const hasNext = shown.value?.reps.some((r) => key && r.set === key.set && r.rep === key.rep + 1) ?? false;
  const inside = rep !== null && now_s.value > rep.start_s && now_s.value < rep.end_s;
  return (
    <>
      {rep && key ? (
        <fieldset disabled={busy.value}>
          <legend>Rep {rep.rep}</legend>
          <Edge edge="start_s" />
          <Edge edge="end_s" />
          <DraftBar />
          <div class="actions">
            <button type="button" disabled={!inside} onClick={() => void correct({ kind: "split_rep", ...key, at_s: now_s.value })}>
              Split it here
            </button>
            <button type="button" disabled={!hasNext} onClick={() => void correct({ kind: "merge_reps", ...key })}>
              Join with rep {rep.rep + 1}
            </button>
            <button type="button" onClick={() => void correct({ kind: "exclude_rep", ...key })}>
              Leave it out
            </button>
          </div>
        </fieldset>
      ) : (
        <p class="hint">Choose a rep in the table to move, split, join or leave it out.</p>
      )}
      <fieldset disabled={busy.value}>
        <legend>A rep was missed</legend>
        <p class="hint">Move to the moment the bar starts up, then to the moment it is locked out.</p>
        <div class="actions">
          <button type="button" onClick={() => setMark(now_s.value)}>
            {mark === null ? "It starts here" : `Starts at ${fixed(mark, 2)} s`}
          </button>
          <button
            type="button"
            disabled={mark === null || now_s.value <= mark}
            onClick={() => {
              void correct({ kind: "add_rep", start_s: mark, end_s: now_s.value });
              setMark(null);
            }}
          >
            It ends here: add it
          </button>
        </div>
      </fieldset>
    </>
  );
}

/** Made anew for another stored diameter, so that nothing but the coach's hand changes what is typed. */
function Scale({ stored_m }: { stored_m: number }) {
  const [mm, setMm] = useState(String(Math.round(stored_m * 1000)));
  const value = Number(mm.replace(",", ".")) / 1000;
  return (
    <fieldset disabled={busy.value}>
      <legend>The scale</legend>
      <Field label="Disc across, mm" hint="All lengths and velocities follow from it. A competition disc is 450 mm.">
        <input inputMode="decimal" value={mm} onInput={(e) => setMm(e.currentTarget.value)} />
      </Field>
      <button type="button" disabled={!(value > 0) || Math.abs(value - stored_m) < 1e-6} onClick={() => void correct({ kind: "disc_diameter", disc_diameter_m: value })}>
        Change the scale
      </button>
    </fieldset>
  );
}

function DiscTab() {
  const stored_m = session.value?.options.disc_diameter_m ?? 0.45;
  const clip = session.value?.clip;
  return (
    <>
      <Scale key={stored_m} stored_m={stored_m} />
      <fieldset disabled={busy.value || !about.value?.frames || about.value.day_recording !== null}>
        <legend>The wrong thing was followed</legend>
        <p class="hint">
          {about.value?.day_recording
            ? "In a whole day's recording the disc is found anew for each stretch. Put the reps right by hand, or add the set as a clip of its own."
            : "Go to a picture in which the disc is in clear view, then point at its middle. The clip is measured again; reps you placed or left out stay so."}
        </p>
        <button
          type="button"
          onClick={() => {
            pointing.value = { x_px: (about.value?.width_px ?? clip?.width_px ?? 2) / 2, y_px: (about.value?.height_px ?? clip?.height_px ?? 2) / 2 };
            document.querySelector<HTMLElement>(".scrub")?.focus();
          }}
        >
          Point at the disc
        </button>
      </fieldset>
    </>
  );
}

function countsOf(list: { name: string; strands?: number; count?: number }[] | undefined): Record<string, number> {
  return Object.fromEntries((list ?? []).map((g) => [g.name, g.strands ?? g.count ?? 0]));
}

/** Made anew for another session: what is being filled in is changed by nothing else. */
function SetTab() {
  const s = session.value;
  const [answer, setAnswer] = useState(() => answerOf(s?.plan ?? null, { chains: countsOf(s?.options.loading?.chains), bands: countsOf(s?.options.loading?.bands) }));
  const [trouble, setTrouble] = useState("");
  async function submit(e: Event) {
    e.preventDefault();
    const set = choiceOf(answer);
    if (isMissing(set)) return setTrouble(set.missing);
    setTrouble("");
    await correct({ kind: "set", set });
  }
  return (
    <form onSubmit={(e) => void submit(e)} aria-label="Lifter and load">
      <SetForm answer={answer} onChange={setAnswer} clip={s?.provenance.source_name ?? ""} />
      <Trouble words={trouble} />
      <button class="main" disabled={busy.value}>
        Change lifter and load
      </button>
    </form>
  );
}

function HistoryTab() {
  const list = about.value?.corrections ?? [];
  return (
    <>
      {list.length ? (
        <ol class="corrections">
          {list.map((c) => (
            <li class={c.undone ? "undone" : ""}>
              {c.undone ? <s>{massWords(c.words)}</s> : massWords(c.words)} <span class="hint">{timeOfDay(c.at)}{c.undone ? ", taken back" : ""}</span>
            </li>
          ))}
        </ol>
      ) : (
        <p class="hint">Nothing was corrected: the numbers are the program's own.</p>
      )}
      <button type="button" disabled={busy.value || !about.value?.can_undo} onClick={() => void undo()}>
        Take the last one back
      </button>
      <p class="hint">The measurement before each correction stays in the logbook.</p>
    </>
  );
}

export function FixPanel() {
  const [tab, setTab] = useState<Tab>("rep");
  const done = about.value?.corrections.filter((c) => !c.undone).length ?? 0;
  return (
    <section class="card fix" aria-label="Fix what is wrong" aria-busy={busy.value}>
      <header class="plot-head">
        <h2>Fix what is wrong</h2>
        <button type="button" class="quiet" disabled={busy.value || !about.value?.can_undo} onClick={() => void undo()}>
          Undo
        </button>
      </header>
      <Choice<Tab>
        label="What to fix"
        value={tab}
        onChange={setTab}
        options={[
          ["rep", "Rep"],
          ["disc", "Disc"],
          ["set", "Lifter, load"],
          ["history", `History${done ? ` (${done})` : ""}`],
        ]}
      />
      {tab === "rep" && <RepTab />}
      {tab === "disc" && <DiscTab />}
      {tab === "set" && <SetTab key={id.value} />}
      {tab === "history" && <HistoryTab />}
    </section>
  );
}
