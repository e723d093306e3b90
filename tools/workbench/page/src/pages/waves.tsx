import { sessions } from "../live";
import { inWords } from "../api";
import type { Change, CompareReply, Comparison } from "../model";
import { Field, Nothing, Title, Trouble } from "../parts/basics";
import { NotesList, told } from "../parts/notes_list";
import { PlanTabs } from "../parts/plan_tabs";
import { query, useGet } from "../parts/use_get";
import { place, remember } from "../router";
import { fixed, half, mass, shortDay } from "../units";

/** Wave against wave at the same load: faster, slower, or no clear change. */

const signed = (v: number) => (v > 0 ? "+" : v < 0 ? "−" : "±") + fixed(Math.abs(v), 3);

/** The change with its interval on a line whose middle is no change; the grey part is not worth a word. */
function ChangeLine({ change, most, worthwhile }: { change: Change; most: number; worthwhile: number }) {
  const kWide = 220;
  const x = (v: number) => kWide / 2 + (v / most) * (kWide / 2 - 8);
  const { value: d, lo, hi } = change;
  return (
    <svg class="change-line" viewBox={`0 0 ${kWide} 34`} aria-hidden="true">
      <rect class="small" x={x(-worthwhile)} width={Math.max(1, x(worthwhile) - x(-worthwhile))} y={2} height={30} />
      <line class="none" x1={x(0)} x2={x(0)} y1={0} y2={34} />
      <line class="interval" x1={x(lo)} x2={x(hi)} y1={17} y2={17} />
      <circle cx={x(d)} cy={17} r={6} />
    </svg>
  );
}

const kSign: Record<string, string> = { faster: "▲", slower: "▼" };

function Words({ change }: { change: Change }) {
  return (
    <b class={`change ${change.word.replaceAll(" ", "-")}`}>
      <span aria-hidden="true">{kSign[change.word] ?? "●"}</span> {change.word}
    </b>
  );
}

function Table({ c }: { c: Comparison }) {
  const rows = [{ name: "Team", detail: "", change: c.team_difference_mps }, ...c.lifters.map((l) => ({ name: l.lifter, detail: `at ${mass(l.load_kg)} mean load: ${fixed(l.before_mps, 3)} → ${fixed(l.after_mps, 3)} m/s, ${l.sessions_before} and ${l.sessions_after} sessions`, change: l.difference_mps }))];
  const most = Math.max(0.02, c.smallest_worthwhile_mps, ...rows.map((r) => Math.max(Math.abs(r.change.lo), Math.abs(r.change.hi))));
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label="Change of each lifter">
      <table class="waves-table">
        <thead>
          <tr>
            <th scope="col">Lifter</th>
            <th scope="col">In a word</th>
            <th scope="col" class="n">
              Change, m/s
            </th>
            <th scope="col">
              <span class="sides">
                <span>
                  slower
                  <br />−{fixed(most, 2)}
                </span>
                <span>
                  <br />0
                </span>
                <span>
                  faster
                  <br />+{fixed(most, 2)}
                </span>
              </span>
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((r) => (
            <tr>
              <th scope="row">
                {r.name}
                {r.detail && <span class="hint">{r.detail}</span>}
              </th>
              <td>
                <Words change={r.change} />
              </td>
              <td class="n">
                {signed(r.change.value)} ± {fixed(half(r.change), 3)}
              </td>
              <td>
                <ChangeLine change={r.change} most={most} worthwhile={c.smallest_worthwhile_mps} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** The later wave's sessions, the team each against the session before. */
function Sessions({ c }: { c: Comparison }) {
  const sessions = c.sessions_against_the_one_before;
  if (!sessions.length) return null;
  return (
    <>
      <h2 class="waves-sessions">{c.after.name}, session by session</h2>
      <ul class="facts">
        {sessions.map((s) => {
          const clear = s.lifters.filter((l) => l.difference_mps.word !== "no clear change");
          return (
            <li>
              <b>{s.after.name}</b>
              <span>
                <Words change={s.team_difference_mps} /> {signed(s.team_difference_mps.value)} ± {fixed(half(s.team_difference_mps), 3)} m/s
              </span>
              {clear.length > 0 && <span class="hint">{clear.map((l) => `${l.lifter} ${l.difference_mps.word}`).join(", ")}</span>}
            </li>
          );
        })}
      </ul>
    </>
  );
}

export function WavesPage() {
  const asked = (name: string) => place.value.query.get(name) ?? "";
  const [lift, before, after] = [asked("lift"), asked("before"), asked("after")];
  const { reply, trouble } = useGet<CompareReply>("/api/compare" + query({ lift, before, after }), sessions.value?.length);
  const c = reply?.comparison;
  const wave = (label: string, value: string, set: (v: string) => void) => (
    <Field label={label}>
      <select value={value} onChange={(e) => set(e.currentTarget.value)}>
        {reply?.waves.map((w) => (
          <option value={w.name}>
            {w.name}: {shortDay(w.from)} to {shortDay(w.to)}
          </option>
        ))}
      </select>
    </Field>
  );
  return (
    <>
      <Title>Waves compared</Title>
      <PlanTabs here="waves" />
      <Trouble words={trouble} />
      {reply && (
        <>
          <div class="fields narrow">
            <Field label="Lift">
              <select
                value={reply.lift}
                onChange={(e) => remember({ lift: e.currentTarget.value, before: "", after: "" })}
              >
                {reply.lifts.map((l) => (
                  <option value={l}>{l}</option>
                ))}
              </select>
            </Field>
            {wave("Earlier", c?.before.name ?? before, (v) => remember({ before: v }))}
            {wave("Later", c?.after.name ?? after, (v) => remember({ after: v }))}
          </div>
          {c ? (
            <section class="card">
              <Table c={c} />
              <Sessions c={c} />
              <NotesList notes={told(c.notes)} />
              <p class="hint">
                ± is half of the 95 % interval. Grey: changes below {fixed(c.smallest_worthwhile_mps, 3)} m/s, too small to matter. One lifter's session mean repeats to within {fixed(c.typical_error_mps, 3)} m/s.
              </p>
            </section>
          ) : (
            reply.why_not && <Nothing>{inWords(reply.why_not)}</Nothing>
          )}
        </>
      )}
    </>
  );
}
