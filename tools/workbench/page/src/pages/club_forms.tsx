import { useState } from "preact/hooks";
import type { Club } from "../model";
import { Field } from "../parts/basics";
import { type Value, withEntry, withKey, withLift, withTopKey } from "../toml_edit";
import { massUnit } from "../units";

/** Forms that add to the roster's text, or change the coach's limits in it. */

type Change = (text: string) => void;

const number = (s: string): number | "" => (s.trim() === "" ? "" : Number(s.replace(",", ".")));
const list = (s: string): number[] | "" => {
  const parts = s.split(/[;\s]+/).filter(Boolean).map((p) => Number(p.replace(",", ".")));
  return parts.length ? parts : "";
};

interface Ask {
  key: string;
  label: string;
  hint?: string;
  kind: "text" | "number" | "list";
  required?: boolean;
}

/** A form of a few questions whose answers become one entry. */
function EntryForm({ title, button, asks, open, onEntry }: { title: string; button: string; asks: Ask[]; open?: boolean; onEntry: (entries: [string, Value | ""][]) => void }) {
  const [values, setValues] = useState<Record<string, string>>({});
  function submit(e: Event) {
    e.preventDefault();
    onEntry(asks.map((a) => [a.key, a.kind === "text" ? (values[a.key] ?? "").trim() : a.kind === "list" ? list(values[a.key] ?? "") : number(values[a.key] ?? "")]));
    setValues({});
  }
  return (
    <details class="more card" open={open ?? false}>
      <summary>{title}</summary>
      <form onSubmit={submit} aria-label={title}>
        <div class="fields">
          {asks.map((a) => (
            <Field label={a.label} {...(a.hint ? { hint: a.hint } : {})}>
              <input
                required={a.required ?? false}
                inputMode={a.kind === "number" ? "decimal" : "text"}
                value={values[a.key] ?? ""}
                onInput={(e) => setValues({ ...values, [a.key]: e.currentTarget.value })}
              />
            </Field>
          ))}
        </div>
        <button>{button}</button>
      </form>
    </details>
  );
}

/** What the club is called, and in which unit its new sheets ask for loads. */
export function ClubForm({ text, club, onChange }: { text: string; club: Club | null; onChange: Change }) {
  return (
    <section class="card club-form" aria-label="The club">
      <div class="fields">
        <Field label="Name of the club">
          <input value={club?.name ?? ""} onChange={(e) => e.currentTarget.value.trim() && onChange(withTopKey(text, "club", e.currentTarget.value.trim()))} />
        </Field>
        <Field label="Unit of loads" hint="of new sheets, and of this page unless switched above">
          <select value={club?.unit ?? "kg"} onChange={(e) => onChange(withTopKey(text, "unit", e.currentTarget.value))}>
            <option value="kg">kg</option>
            <option value="lb">lb</option>
          </select>
        </Field>
      </div>
    </section>
  );
}

export function LifterForms({ text, lifters, onChange }: { text: string; lifters: string[]; onChange: Change }) {
  const [who, setWho] = useState("");
  const chosen = who || lifters[0] || "";
  const unit = massUnit.value;
  return (
    <>
      <EntryForm title="Add a lifter" button="Add the lifter" open={!lifters.length} asks={[{ key: "name", label: "Name", kind: "text", required: true }]} onEntry={(e) => onChange(withEntry(text, "lifter", e))} />
      {lifters.length > 0 && (
        <div class="lift-form">
          <Field label="Lift of">
            <select value={chosen} onChange={(e) => setWho(e.currentTarget.value)}>
              {lifters.map((l) => (
                <option value={l}>{l}</option>
              ))}
            </select>
          </Field>
          <EntryForm
            title={`Add a lift for ${chosen}`}
            button="Add the lift"
            asks={[
              { key: "lift", label: "Lift", kind: "text", required: true },
              { key: "bar", label: "Only with this bar", kind: "text" },
              { key: "box_height_cm", label: "Only with this box, cm", kind: "number" },
              { key: `best_single_${unit}`, label: `Best single, ${unit}`, kind: "number" },
              { key: "lockout_height_cm", label: "Bar at lockout, cm", hint: "its centre above the floor", kind: "number" },
              { key: "bottom_height_cm", label: "Bar at the bottom, cm", hint: "where a full rep turns round", kind: "number" },
              { key: "zone_mps", label: "Zone, m/s", hint: "two numbers: 0.65 0.90", kind: "list" },
            ]}
            onEntry={(e) => {
              const next = withLift(text, chosen, e);
              if (next !== null) onChange(next);
            }}
          />
        </div>
      )}
    </>
  );
}

export function GearForms({ text, onChange }: { text: string; onChange: Change }) {
  const unit = massUnit.value;
  const add = (table: string) => (e: [string, Value | ""][]) => onChange(withEntry(text, table, e));
  const name: Ask = { key: "name", label: "Name", kind: "text", required: true };
  const count: Ask = { key: "count", label: "How many", kind: "number" };
  return (
    <>
      <EntryForm title="Add a bar" button="Add the bar" onEntry={add("bar")} asks={[name, { key: `mass_${unit}`, label: `Mass, ${unit}`, kind: "number", required: true }, { key: "sleeves_raised_cm", label: "Sleeves above a straight bar's, cm", hint: "negative when they hang lower", kind: "number" }, { key: `limit_${unit}`, label: `Carries at most, ${unit}`, kind: "number" }]} />
      <EntryForm title="Add discs" button="Add the discs" onEntry={add("disc")} asks={[{ key: `mass_${unit}`, label: `Mass of one, ${unit}`, kind: "number", required: true }, { ...count, required: true }]} />
      <EntryForm title="Add chains" button="Add the chains" onEntry={add("chain")} asks={[name, { key: "mass_kg_per_m", label: "Mass over length, kg/m", hint: "weigh it: sold weights differ", kind: "number", required: true }, { key: "length_m", label: "Length of one strand, m", kind: "number", required: true }, { key: "leader_length_cm", label: "Light rope above it, cm", kind: "number" }, count]} />
      <EntryForm title="Add bands" button="Add the bands" onEntry={add("band")} asks={[name, { key: "stretched_cm", label: "Lengths measured, cm", hint: "anchor to bar: 50 70 90 110", kind: "list", required: true }, { key: "tension_kg", label: "What the scale showed, kg", hint: "as many: 0 6.5 10.5 14", kind: "list", required: true }, { key: "anchor_height_cm", label: "Anchor above the floor, cm", kind: "number", required: true }, count]} />
      <EntryForm title="Add a rack" button="Add the rack" onEntry={add("rack")} asks={[name, { key: `limit_${unit}`, label: `Carries at most, ${unit}`, kind: "number", required: true }]} />
    </>
  );
}

export function ThresholdForm({ text, thresholds: t, onChange }: { text: string; thresholds: Club["thresholds"]; onChange: Change }) {
  const set = (key: string) => (e: { currentTarget: HTMLInputElement }) => {
    const v = number(e.currentTarget.value);
    onChange(withKey(text, "thresholds", key, v === "" || !isFinite(v) ? null : v));
  };
  const tidy = (v: number | undefined, per = 1) => (v === undefined ? "" : String(Number((v * per).toFixed(4))));
  const [low, setLow] = useState(tidy(t.zone_mps?.[0]));
  const [high, setHigh] = useState(tidy(t.zone_mps?.[1]));
  function zone(l: string, h: string) {
    setLow(l);
    setHigh(h);
    const both = [number(l), number(h)];
    if (both.every((v) => v === "")) onChange(withKey(text, "thresholds", "zone_mps", null));
    else if (both.every((v) => v !== "" && isFinite(v))) onChange(withKey(text, "thresholds", "zone_mps", both as number[]));
  }
  return (
    <section class="card" aria-label="When a rep is flagged">
      <h2>When a rep is flagged</h2>
      <p class="hint">These limits are yours to choose. They hold for what is measured from now on.</p>
      <div class="fields">
        <Field label="Slowed: below the set's fastest, %">
          <input inputMode="decimal" value={tidy(t.slowed_loss, 100)} onChange={set("slowed_loss_percent")} />
        </Field>
        <Field label="Below expected, m/s">
          <input inputMode="decimal" value={tidy(t.below_expected_mps)} onChange={set("below_expected_mps")} />
        </Field>
        <Field label="High bottom, cm above the usual">
          <input inputMode="decimal" value={tidy(t.high_bottom_m, 100)} onChange={set("high_bottom_cm")} />
        </Field>
        <Field label="Uneven pause, s">
          <input inputMode="decimal" value={tidy(t.uneven_pause_s)} onChange={set("uneven_pause_s")} />
        </Field>
        <Field label="Zone from, m/s" hint="left empty: nothing is called too heavy or too light">
          <input inputMode="decimal" value={low} onInput={(e) => zone(e.currentTarget.value, high)} />
        </Field>
        <Field label="Zone to, m/s">
          <input inputMode="decimal" value={high} onInput={(e) => zone(low, e.currentTarget.value)} />
        </Field>
      </div>
    </section>
  );
}
