import { clubVersion, sessions } from "../live";
import type { Loading, PlanReply } from "../model";
import { Caution, Nothing, Title } from "../parts/basics";
import { NotesList } from "../parts/notes_list";
import { PlanTabs } from "../parts/plan_tabs";
import { useGet } from "../parts/use_get";
import { link } from "../router";
import { dayInWords, fixed, inUnit, mass, massUnit, ok, withInterval } from "../units";
import { kLoadCaution } from "../words";

/** The next session, lifter by lifter, to read at the rack or to print for the crew that loads the bars. */

function Weight({ kg }: { kg: number | null }) {
  return <>{kg === null ? "–" : fixed(inUnit(kg, massUnit.value), 1)}</>;
}

function LoadingRow({ l }: { l: Loading }) {
  return (
    <tr>
      <th scope="row" class="crew-lifter">
        {l.lifter}
        <span class="hint">
          {l.sets} × {l.reps}
        </span>
      </th>
      <td class="crew-load">
        <b>{mass(l.load_kg)}</b>
        <span class="hint">on the bar</span>
      </td>
      <td class="crew-discs">
        <b>{l.discs}</b>
        {l.set_up && <span class="crew-set-up">{l.set_up}</span>}
        {!l.exact && <span class="hint">nearest the discs make</span>}
      </td>
      <td class="n" data-label={`Bottom, ${massUnit.value}`}>
        <Weight kg={l.bottom_kg} />
      </td>
      <td class="n" data-label={`Top, ${massUnit.value}`}>
        <Weight kg={l.top_kg} />
      </td>
      <td class="n" data-label="Expect, m/s">{ok(l.expected_mps) ? withInterval(l.expected_mps, 1, 2) : "not known"}</td>
      <td class="crew-why">
        <b class={`move ${l.move}`}>{l.move}</b> {l.why}
      </td>
      <td class="tick" aria-hidden="true" />
    </tr>
  );
}

function Day({ d }: { d: PlanReply["days"][number] }) {
  const unit = massUnit.value;
  return (
    <section class="card crew">
      <header class="crew-head">
        <h2>
          {d.lift}: {dayInWords(d.day)}
        </h2>
        <p class="crew-asked">
          {d.asked}
          {d.rest_s !== null && `, ${fixed(d.rest_s, 0)} s rest`}
        </p>
      </header>
      <div class="scroll" tabIndex={0} role="region" aria-label={`Loads for ${d.lift}`}>
        <table class="crew-table">
          <thead>
            <tr>
              <th scope="col">Lifter</th>
              <th scope="col">Load</th>
              <th scope="col">Each side, and set up</th>
              <th scope="col" class="n">
                Bottom <span class="unit">{unit}</span>
              </th>
              <th scope="col" class="n">
                Top <span class="unit">{unit}</span>
              </th>
              <th scope="col" class="n">
                Expect <span class="unit">m/s</span>
              </th>
              <th scope="col">Why</th>
              <th scope="col" class="tick">
                Done
              </th>
            </tr>
          </thead>
          <tbody>
            {d.loadings.map((l) => (
              <LoadingRow l={l} />
            ))}
          </tbody>
        </table>
      </div>
      <NotesList notes={[...d.notes, ...d.loadings.flatMap((l) => l.notes.map((n) => ({ ...n, text: `${l.lifter}: ${n.text}` })))]} />
    </section>
  );
}

function Others({ plan }: { plan: PlanReply }) {
  const a = plan.accessories;
  if (!plan.specials.length && !a?.sessions.length) return null;
  return (
    <section class="card">
      <h2>The week's other work</h2>
      <ul class="facts">
        {plan.specials.map((s) => (
          <li>
            <b>{s.exercise}</b>
            <span class="hint">
              {dayInWords(s.day)} · week {s.turn_week} of {s.turn_weeks}
            </span>
          </li>
        ))}
        {a?.sessions.map((s) => (
          <li>
            <b>
              {s.name}: {mass(s.load_kg)}, {s.times} × {fixed(s.distance_m, 0)} m
            </b>
            <span class="hint">
              {dayInWords(s.day)} · {s.kind} · {fixed(s.work_kg_m, 0)} kg m
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

export function PlanPage() {
  const { reply, trouble } = useGet<PlanReply>("/api/plan", `${clubVersion.value}/${sessions.value?.length}`);
  return (
    <>
      <Title
        beside={
          <button type="button" class="no-print" disabled={!reply?.days.length} onClick={() => print()}>
            Print the loading sheet
          </button>
        }
      >
        Next session
      </Title>
      <PlanTabs here="plan" />
      {trouble && (
        <Nothing>
          {trouble} <a href={link("plan-text")}>Write the plan</a>
        </Nothing>
      )}
      {reply && (
        <div class="plan">
          <Caution>{kLoadCaution}</Caution>
          {!reply.days.length && <Nothing>All waves of the plan are over.</Nothing>}
          {reply.days.map((d) => (
            <Day d={d} />
          ))}
          <Others plan={reply} />
          <NotesList notes={reply.notes} />
          <p class="fine">{reply.rule}</p>
        </div>
      )}
    </>
  );
}
