import { clubVersion, sessions } from "../live";
import type { Loading, PlanDay, PlanReply } from "../model";
import { Caution, Nothing, Title } from "../parts/basics";
import { NotesList } from "../parts/notes_list";
import { PlanTabs } from "../parts/plan_tabs";
import { query, useGet } from "../parts/use_get";
import { link } from "../router";
import { dayInWords, fixed, inUnit, mass, massUnit, massWords } from "../units";

/** The next session, lifter by lifter, to read at the rack; the sheet for the crew that loads the bars is the library's. */

const kPapers: [string, string][] = [
  ["a4", "A4"],
  ["letter", "Letter"],
];

function Weight({ kg }: { kg: number | null }) {
  return <>{kg === null ? "–" : fixed(inUnit(kg, massUnit.value), 1)}</>;
}

/** "2 × 25 kg + 10 kg" as the discs are stamped; a line ends between discs only. */
const discs = (l: Loading) => l.discs_a_side.map((d) => ((d.count > 1 ? `${d.count} × ` : "") + d.stamped).replaceAll(" ", "\u00a0")).join(" + ") || "no discs";

function LoadingRow({ l, shared }: { l: Loading; shared: boolean }) {
  return (
    <tr>
      <th scope="row" class="crew-lifter">
        {l.lifter}
      </th>
      <td class="crew-load">
        <b>{mass(l.load_kg)}</b>
        <span class="hint">on the bar</span>
      </td>
      <td class="crew-discs">
        <b>{discs(l)}</b>
        {l.set_up && !shared && <span class="crew-set-up">{l.set_up}</span>}
        {!l.exact && <span class="hint">nearest the discs make</span>}
      </td>
      <td class="n" data-label={`Bottom, ${massUnit.value}`}>
        <Weight kg={l.bottom_load_kg} />
      </td>
      <td class="n" data-label={`Top, ${massUnit.value}`}>
        <Weight kg={l.top_load_kg} />
      </td>
      <td class="n" data-label="Expect, m/s">{l.expected_mps ? `${fixed(Math.max(0, l.expected_mps.lo), 2)} to ${fixed(l.expected_mps.hi, 2)}` : "not known"}</td>
      <td class="crew-why">
        <b class={`move ${l.move}`}>{massWords(l.move_words)}</b> {massWords(l.why)}.
      </td>
    </tr>
  );
}

function Day({ d }: { d: PlanDay }) {
  const unit = massUnit.value;
  const shared = d.loadings.every((l) => l.set_up === d.loadings[0]?.set_up);
  return (
    <section class="card crew">
      <header class="crew-head">
        <h2>
          {d.lift}: {dayInWords(d.date)}
        </h2>
        <p class="crew-asked">
          {massWords(d.sets_words)}
          <span class="hint">
            {massWords(d.session_words)}
            {d.days_to_meet !== null && `; ${d.days_to_meet} days to the ${d.meet}`}
          </span>
        </p>
      </header>
      {shared && d.loadings[0]?.set_up && <p class="crew-shared">Set-up for all: {d.loadings[0].set_up}</p>}
      <div class="scroll" tabIndex={0} role="region" aria-label={`Loads for ${d.lift}`}>
        <table class="crew-table">
          <thead>
            <tr>
              <th scope="col">Lifter</th>
              <th scope="col">Load</th>
              <th scope="col">{shared ? "Discs, each side" : "Each side, and set up"}</th>
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
            </tr>
          </thead>
          <tbody>
            {d.loadings.map((l) => (
              <LoadingRow l={l} shared={shared} />
            ))}
          </tbody>
        </table>
      </div>
      <NotesList notes={d.notes_once} />
    </section>
  );
}

function Others({ plan }: { plan: PlanReply }) {
  if (!plan.special_exercises.length && !plan.accessory_work.length) return null;
  return (
    <section class="card">
      <h2>The week's other work</h2>
      <ul class="facts">
        {plan.special_exercises.map((s) => (
          <li>
            <b>{s.exercise}</b>
            <span class="hint">
              {dayInWords(s.date)} · week {s.turn_week} of {s.turn_weeks}
            </span>
          </li>
        ))}
        {plan.accessory_work.map((s) => (
          <li>
            <b>
              {s.name}: {mass(s.load_kg)}, {s.times} × {s.distance_m} m
            </b>
            <span class="hint">
              {dayInWords(s.date)} · {s.day} day · {fixed(s.work_kg_m, 0)} kg m
            </span>
          </li>
        ))}
      </ul>
      {plan.accessory_work.length > 0 && <p class="hint">Accessory work of the week: {fixed(plan.accessory_work_kg_m, 0)} kg m.</p>}
      <NotesList notes={plan.accessory_notes} />
    </section>
  );
}

export function PlanPage() {
  const { reply, trouble } = useGet<PlanReply>("/api/plan", `${clubVersion.value}/${sessions.value?.length}`);
  return (
    <>
      <Title
        beside={
          reply && reply.days.length > 0 && (
            <div class="actions no-print" role="group" aria-label="Loading sheet to print">
              <span class="field-label" aria-hidden="true">
                Loading sheet to print:
              </span>
              {kPapers.map(([paper, words]) => (
                <a class="button" href={`/api/plan/loading_sheet.html${query({ paper, unit: massUnit.value })}`} target="_blank" rel="noopener">
                  {words}
                </a>
              ))}
            </div>
          )
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
          <Caution>{reply.caution}</Caution>
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
