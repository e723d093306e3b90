import { useEffect, useRef, useState } from "preact/hooks";
import { get, put } from "../api";
import { clubVersion } from "../live";
import type { SheetReply } from "../model";
import { link } from "../router";
import { troubleOf } from "../uploads";
import { Field, Trouble } from "./basics";

/** A recording of the whole session: which sheet says whose sets they are. */

export interface DayAnswer {
  sheet: string;
  day: string;
}

export const emptyDay: DayAnswer = { sheet: "", day: "" };

type Listed = { name: string; rows: number; problems: number };

/** Takes a sheet from a spreadsheet's CSV file into the logbook. */
export function BringSheet({ onBrought }: { onBrought: (name: string) => void }) {
  const choose = useRef<HTMLInputElement>(null);
  const [trouble, setTrouble] = useState("");
  async function bring(file: File | undefined) {
    if (!file) return;
    const name = /\.csv$/i.test(file.name) ? file.name : `${file.name}.csv`;
    try {
      await put<SheetReply>(`/api/sheets/${encodeURIComponent(name)}`, { text: await file.text(), revision: null });
      setTrouble("");
      onBrought(name);
    } catch (cause) {
      setTrouble(troubleOf(cause));
    }
  }
  return (
    <>
      <button type="button" onClick={() => choose.current?.click()}>
        Take a sheet from a file
      </button>
      <input
        ref={choose}
        class="unseen"
        type="file"
        accept=".csv,.tsv,.txt,text/csv"
        aria-label="Choose a sheet's file"
        tabIndex={-1}
        onChange={(e) => {
          void bring(e.currentTarget.files?.[0]);
          e.currentTarget.value = "";
        }}
      />
      <Trouble words={trouble} />
    </>
  );
}

export function DayForm({ answer, onChange }: { answer: DayAnswer; onChange: (a: DayAnswer) => void }) {
  const [sheets, setSheets] = useState<Listed[] | null>(null);
  useEffect(() => {
    get<{ sheets: Listed[] }>("/api/sheets").then(
      (r) => setSheets(r.sheets),
      () => setSheets([]),
    );
  }, [clubVersion.value]);
  const chosen = sheets?.find((s) => s.name === answer.sheet);
  return (
    <div class="set-form">
      <p class="hint">The recording is split into its sets, and each is given to a row of the sheet: one row a set. Doubtful ones are shown to you to settle.</p>
      <div class="fields">
        <Field label="Sheet of the day">
          <select required value={answer.sheet} onChange={(e) => onChange({ ...answer, sheet: e.currentTarget.value })}>
            <option value="">choose one</option>
            {sheets?.map((s) => (
              <option value={s.name}>
                {s.name}: {s.rows} set{s.rows === 1 ? "" : "s"}
              </option>
            ))}
          </select>
        </Field>
        <Field label="Day" hint="left empty: as sheet or recording tell">
          <input type="date" value={answer.day} onInput={(e) => onChange({ ...answer, day: e.currentTarget.value })} />
        </Field>
      </div>
      <div class="actions">
        <BringSheet onBrought={(sheet) => onChange({ ...answer, sheet })} />
        {chosen && <a href={link("sheet", chosen.name)}>Look at {chosen.name}</a>}
      </div>
      {chosen && chosen.problems > 0 && <p class="trouble">{chosen.problems} cell{chosen.problems === 1 ? "" : "s"} of this sheet must be put right first.</p>}
    </div>
  );
}
