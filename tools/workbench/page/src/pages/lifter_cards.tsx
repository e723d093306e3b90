import { useState } from "preact/hooks";
import { Field } from "../parts/basics";
import { type Entry, entriesOf, typed, withLift } from "../toml_edit";
import { mass } from "../units";
import { AddForm, addTo, type Change, EntryLine } from "./entry_form";
import { keyOf, kLift, kLifter, massIn } from "./roster_asks";

/** The lifters of the roster and their lifts, each with the means to change it. */

const kStays = "What was measured stays in the logbook under the name it was measured with. A sheet or plan that names somebody who is gone says so.";

function liftWords(lift: Entry): string {
  const of = (stem: string) => {
    const ask = kLift.asks.find((a) => a.stem === stem)!;
    const key = keyOf(ask, lift);
    const unit = ask.units ? " " + key.slice(stem.length + 1) : "";
    return lift.keys.has(key) ? typed(lift, key) + unit : "";
  };
  const best_kg = massIn(lift, "best_single");
  return [of("bar"), of("box_height") && `box ${of("box_height")}`, best_kg === null ? "" : `best single ${mass(best_kg)}`, of("zone_mps") && `zone ${of("zone_mps").replace(" ", "–")} m/s`].filter(Boolean).join(" · ");
}

function LifterCard({ lifter, text, onChange }: { lifter: Entry; text: string; onChange: Change }) {
  const name = typed(lifter, "name");
  const lifts = entriesOf(text, "lifter.lift", lifter);
  return (
    <li class="card entries">
      <EntryLine kind={kLifter} entry={lifter} name={name} text={text} onChange={onChange} removing={kStays}>
        <h2>{name}</h2>
      </EntryLine>
      <ul class="facts">
        {lifts.map((lift) => {
          const what = typed(lift, "lift");
          const more = liftWords(lift);
          return (
            <li key={`${what} ${more}`}>
              <EntryLine kind={kLift} entry={lift} name={`${name}'s ${what}`} text={text} onChange={onChange}>
                <span class="entry-what">
                  <b>{what}</b>
                  <span class="hint">{more}</span>
                </span>
              </EntryLine>
            </li>
          );
        })}
        {!lifts.length && <li class="hint">no lift yet</li>}
      </ul>
    </li>
  );
}

export function LifterCards({ text, onChange }: { text: string; onChange: Change }) {
  const lifters = entriesOf(text, "lifter");
  const names = lifters.map((l) => typed(l, "name"));
  const [who, setWho] = useState("");
  const chosen = names.includes(who) ? who : (names[0] ?? "");
  return (
    <>
      <ul class="plain cards">
        {lifters.map((l) => (
          <LifterCard key={typed(l, "name")} lifter={l} text={text} onChange={onChange} />
        ))}
      </ul>
      <AddForm kind={kLifter} open={!lifters.length} onEntry={addTo(text, kLifter, onChange)} />
      {names.length > 0 && (
        <div class="lift-form">
          <Field label="Lift of">
            <select value={chosen} onChange={(e) => setWho(e.currentTarget.value)}>
              {names.map((l) => (
                <option value={l}>{l}</option>
              ))}
            </select>
          </Field>
          <AddForm
            kind={kLift}
            title={`Add a lift for ${chosen}`}
            onEntry={(values) => {
              const next = withLift(text, chosen, values);
              if (next !== null) onChange(next, `Added a lift for ${chosen}.`);
            }}
          />
        </div>
      )}
    </>
  );
}
