import { useEffect, useLayoutEffect, useState } from "preact/hooks";
import { get } from "../api";
import { club, clubVersion } from "../live";
import type { Plan, SetChoice, SheetReply, SheetRow } from "../model";
import { fixed, inUnit, mass, massUnit } from "../units";
import { Choice, Field } from "./basics";

/** Who lifted what: a row of a sheet, by hand, or not yet known. */

export type Manner = "sheet" | "hand" | "none";

export interface HandSet {
  lifter: string;
  lift: string;
  load: string; // as typed, in the unit shown
  bar: string;
  box: string;
  chains: Record<string, number>;
  bands: Record<string, number>;
  set: string;
  time: string;
  reps: string;
}

export interface SetAnswer {
  manner: Manner;
  sheet: string;
  row: number | null;
  hand: HandSet;
}

export const emptyHand: HandSet = { lifter: "", lift: "", load: "", bar: "", box: "", chains: {}, bands: {}, set: "", time: "", reps: "" };
export const emptyAnswer: SetAnswer = { manner: "sheet", sheet: "", row: null, hand: emptyHand };

/** The form filled in with what is stored. */
export function answerOf(plan: Plan | null, gear: { chains: Record<string, number>; bands: Record<string, number> }): SetAnswer {
  if (!plan) return emptyAnswer;
  const hand: HandSet = {
    ...emptyHand,
    ...gear,
    lifter: plan.lifter,
    lift: plan.lift,
    load: String(Number(fixed(inUnit(plan.stated_load_kg, massUnit.value), 2))),
    bar: plan.bar,
    box: plan.box_height_m === null ? "" : String(Number(fixed(100 * plan.box_height_m, 1))),
    set: plan.set === null ? "" : String(plan.set),
    time: plan.start,
    reps: plan.planned_reps === null ? "" : String(plan.planned_reps),
  };
  return { manner: "hand", sheet: plan.sheet, row: plan.row || null, hand };
}

const counts = (gear: Record<string, number>) =>
  Object.entries(gear)
    .filter(([, n]) => n > 0)
    .map(([name, n]) => `${n} x ${name}`)
    .join(" + ");

/** What is sent; or what is still missing, in words. */
export function choiceOf(answer: SetAnswer): SetChoice | null | { missing: string } {
  if (answer.manner === "none") return null;
  if (answer.manner === "sheet") {
    return answer.sheet && answer.row !== null ? { sheet: answer.sheet, row: answer.row } : { missing: "Choose the row of the sheet." };
  }
  const h = answer.hand;
  const load = Number(h.load.replace(",", "."));
  if (!h.lifter.trim()) return { missing: "Say who lifted." };
  if (!h.lift.trim()) return { missing: "Say which lift it was." };
  if (!(load > 0)) return { missing: "Say the load: bar, discs and collars together." };
  return {
    lifter: h.lifter.trim(),
    lift: h.lift.trim(),
    ...(massUnit.value === "lb" ? { load_lb: load } : { load_kg: load }),
    bar: h.bar,
    ...(h.box ? { box_height_cm: Number(h.box.replace(",", ".")) } : {}),
    chains: counts(h.chains),
    bands: counts(h.bands),
    ...(h.set ? { set: Number(h.set) } : {}),
    time: h.time,
    ...(h.reps ? { reps: Number(h.reps) } : {}),
  };
}

export const isMissing = (c: ReturnType<typeof choiceOf>): c is { missing: string } => c !== null && "missing" in c;

function useSheets(): SheetReply[] | null {
  const [sheets, setSheets] = useState<SheetReply[] | null>(null);
  useEffect(() => {
    let gone = false;
    void (async () => {
      try {
        const list = await get<{ sheets: { name: string }[] }>("/api/sheets");
        const all = await Promise.all(list.sheets.map((s) => get<SheetReply>(`/api/sheets/${encodeURIComponent(s.name)}`)));
        if (!gone) setSheets(all);
      } catch {
        if (!gone) setSheets([]);
      }
    })();
    return () => {
      gone = true;
    };
  }, [clubVersion.value]);
  return sheets;
}

function RowChoice({ answer, onChange, clip, asked }: { answer: SetAnswer; onChange: (a: SetAnswer) => void; clip: string; asked: boolean }) {
  const sheets = useSheets();
  useLayoutEffect(() => {
    // Before the rows can be touched, so that it never takes back a choice. The row that names this file is the one that is meant, unless the coach says otherwise.
    if (!sheets || answer.row !== null) return;
    if (!asked && !sheets.some((s) => s.rows.length)) return onChange({ ...answer, manner: "hand" });
    for (const s of sheets) {
      const rows = s.rows.filter((r) => r.clip && r.clip.split(/[\\/]/).pop() === clip);
      if (rows.length === 1) return onChange({ ...answer, sheet: s.name, row: rows[0]!.row });
    }
  }, [sheets, clip]);
  if (sheets === null) return <p class="hint">Reading the sheets…</p>;
  if (!sheets.some((s) => s.rows.length)) {
    return <p class="hint">No sheet has a row yet: make one under Sheet.</p>;
  }
  return (
    <div class="row-choice" role="radiogroup" aria-label="Row of the sheet">
      {sheets.map((s) => (
        <>
          <p class="sheet-name">{s.name}</p>
          {s.rows.map((r) => (
            <label class="row-option">
              <input
                type="radio"
                name={`row-${clip}`}
                checked={answer.sheet === s.name && answer.row === r.row}
                onChange={() => onChange({ ...answer, sheet: s.name, row: r.row })}
              />
              <span class="row-words">
                <b>{r.lifter}</b> {r.lift}, {mass(r.load_kg)}
                <span class="hint">{rowDetail(r)}</span>
              </span>
            </label>
          ))}
        </>
      ))}
    </div>
  );
}

function rowDetail(r: SheetRow): string {
  return [`row ${r.row}`, r.set === null ? "" : `set ${r.set}`, r.start, r.reps === null ? "" : `${r.reps} reps`, r.clip].filter(Boolean).join(" · ");
}

function GearCounts(props: { title: string; gear: { name: string }[]; counts: Record<string, number>; onChange: (c: Record<string, number>) => void }) {
  return (
    <>
      {props.gear.map((g) => (
        <Field label={g.name} hint={`${props.title}, both sides together`}>
          <input
            type="number"
            inputMode="numeric"
            min={0}
            step={1}
            value={props.counts[g.name] ?? 0}
            onInput={(e) => props.onChange({ ...props.counts, [g.name]: Math.max(0, Math.round(Number(e.currentTarget.value))) })}
          />
        </Field>
      ))}
    </>
  );
}

function ByHand({ hand, onChange }: { hand: HandSet; onChange: (h: HandSet) => void }) {
  const c = club.value;
  const lifts = [...new Set((c?.lifters.find((l) => l.name === hand.lifter)?.lifts ?? c?.lifters.flatMap((l) => l.lifts) ?? []).map((l) => l.lift))];
  const text = (key: keyof HandSet) => (e: { currentTarget: HTMLInputElement | HTMLSelectElement }) => onChange({ ...hand, [key]: e.currentTarget.value });
  return (
    <div class="fields">
      <Field label="Lifter">
        <input list="lifters" required value={hand.lifter} onInput={text("lifter")} />
      </Field>
      <Field label="Lift">
        <input list="lifts" required value={hand.lift} onInput={text("lift")} />
      </Field>
      <Field label={`Load, ${massUnit.value}`} hint="bar, discs and collars together">
        <input inputMode="decimal" required value={hand.load} onInput={text("load")} />
      </Field>
      <Field label="Bar">
        <select value={hand.bar} onChange={text("bar")}>
          <option value="">the usual one</option>
          {c?.bars.map((b) => (
            <option value={b.name}>{b.name}</option>
          ))}
        </select>
      </Field>
      <Field label="Box height, cm" hint="left empty: no box">
        <input inputMode="decimal" value={hand.box} onInput={text("box")} />
      </Field>
      <GearCounts title="chains" gear={c?.chains ?? []} counts={hand.chains} onChange={(chains) => onChange({ ...hand, chains })} />
      <GearCounts title="bands" gear={c?.bands ?? []} counts={hand.bands} onChange={(bands) => onChange({ ...hand, bands })} />
      <Field label="Set">
        <input inputMode="numeric" value={hand.set} onInput={text("set")} />
      </Field>
      <Field label="Time">
        <input placeholder="17:05" value={hand.time} onInput={text("time")} />
      </Field>
      <Field label="Reps planned">
        <input inputMode="numeric" value={hand.reps} onInput={text("reps")} />
      </Field>
      <datalist id="lifters">
        {c?.lifters.map((l) => (
          <option value={l.name} />
        ))}
      </datalist>
      <datalist id="lifts">
        {lifts.map((l) => (
          <option value={l} />
        ))}
      </datalist>
    </div>
  );
}

export function SetForm(props: { answer: SetAnswer; onChange: (a: SetAnswer) => void; clip: string }) {
  const { answer, onChange, clip } = props;
  const [asked, setAsked] = useState(false);
  return (
    <div class="set-form">
      <Choice<Manner>
        label="Who lifted what"
        shown
        value={answer.manner}
        onChange={(manner) => (setAsked(true), onChange({ ...answer, manner }))}
        options={[
          ["sheet", "Row of a sheet"],
          ["hand", "By hand"],
          ["none", "Not known yet"],
        ]}
      />
      {answer.manner === "sheet" && <RowChoice answer={answer} onChange={onChange} clip={clip} asked={asked} />}
      {answer.manner === "hand" && <ByHand hand={answer.hand} onChange={(hand) => onChange({ ...answer, hand })} />}
      {answer.manner === "none" && <p class="hint">Velocities are measured all the same. Load, force and power come once it is known.</p>}
    </div>
  );
}
