import { useEffect, useRef, useState } from "preact/hooks";
import { get, put } from "../api";
import { clubVersion } from "../live";
import type { DayRecording, SheetReply } from "../model";
import { link } from "../router";
import { troubleOf } from "../uploads";
import { Field, Trouble } from "./basics";

/** A recording of the whole session, or several: which files, and which sheet says whose sets they are. */

export interface DayAnswer {
  sheet: string;
  day: string;
  camera: number;
  more: DayRecording[];
}

export const emptyDay: DayAnswer = { sheet: "", day: "", camera: 1, more: [] };

function Camera({ of, camera, onChange }: { of: string; camera: number; onChange: (camera: number) => void }) {
  return (
    <select aria-label={`Camera of ${of}`} value={String(camera)} onChange={(e) => onChange(Number(e.currentTarget.value))}>
      {[1, 2, 3, 4].map((n) => (
        <option value={String(n)}>Camera {n}</option>
      ))}
    </select>
  );
}

/** The same session in more files: parts into which a phone split it, clips of single sets, other cameras or a logger. */
function MoreFiles(props: { name: string; others: string[]; answer: DayAnswer; onChange: (a: DayAnswer) => void }) {
  const { name, others, answer, onChange } = props;
  const camera = (other: string) => answer.more.find((r) => r.name === other)?.camera;
  const without = (other: string) => answer.more.filter((r) => r.name !== other);
  const set = (other: string, n: number) => onChange({ ...answer, more: [...without(other), { name: other, camera: n }] });
  if (!others.length) return null;
  return (
    <fieldset class="more-files">
      <legend>More recordings of the session</legend>
      <p class="hint">Parts that the phone split, clips of single sets, or another camera's files, in any order.</p>
      <ul class="plain">
        {answer.more.length > 0 && (
          <li>
            <span class="row-option chosen">{name}</span>
            <Camera of={name} camera={answer.camera} onChange={(n) => onChange({ ...answer, camera: n })} />
          </li>
        )}
        {others.map((other) => (
          <li key={other}>
            <label class="row-option">
              <input type="checkbox" checked={camera(other) !== undefined} onChange={(e) => (e.currentTarget.checked ? set(other, 1) : onChange({ ...answer, more: without(other) }))} />
              {other}
            </label>
            {camera(other) !== undefined && <Camera of={other} camera={camera(other)!} onChange={(n) => set(other, n)} />}
          </li>
        ))}
      </ul>
    </fieldset>
  );
}

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

export function DayForm(props: { name: string; others: string[]; answer: DayAnswer; onChange: (a: DayAnswer) => void }) {
  const { answer, onChange } = props;
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
      <MoreFiles {...props} />
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
