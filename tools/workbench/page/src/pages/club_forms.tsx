import { useState } from "preact/hooks";
import type { Club } from "../model";
import { Field } from "../parts/basics";
import { withKey, withTopKey } from "../toml_edit";

/** The club's name and unit, and the coach's limits, in the roster's text. */

const number = (s: string): number | "" => (s.trim() === "" ? "" : Number(s.replace(",", ".")));

/** What the club is called, and in which unit its new sheets ask for loads. */
export function ClubForm({ text, club, onChange }: { text: string; club: Club | null; onChange: (text: string) => void }) {
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

export function ThresholdForm({ text, thresholds: t, onChange }: { text: string; thresholds: Club["thresholds"]; onChange: (text: string) => void }) {
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
