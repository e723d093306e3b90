import { useEffect, useState } from "preact/hooks";
import { get, post, put } from "../api";
import { club, clubVersion } from "../live";
import type { SheetReply } from "../model";
import { Field, Nothing, Title, Trouble } from "../parts/basics";
import { PlanTabs } from "../parts/plan_tabs";
import { useTextFile } from "../parts/use_text_file";
import { type Grid, gridText, parseGrid, withCell, withoutRow, withRow } from "../csv";
import { go, link } from "../router";
import { massWords } from "../units";
import { troubleOf } from "../uploads";

/** The session sheet: one row a set, kept as the file a spreadsheet opens. */

const address = (name: string, part = "") => `/api/sheets/${encodeURIComponent(name)}${part}`;

function SheetList() {
  const [list, setList] = useState<{ name: string; rows: number; problems: number }[] | null>(null);
  const [name, setName] = useState("");
  const [trouble, setTrouble] = useState("");
  useEffect(() => {
    get<{ sheets: { name: string; rows: number; problems: number }[] }>("/api/sheets").then(
      (r) => setList(r.sheets),
      (cause) => setTrouble(troubleOf(cause)),
    );
  }, [clubVersion.value]);

  async function make(e: Event) {
    e.preventDefault();
    const file = /\.csv$/i.test(name.trim()) ? name.trim() : `${name.trim()}.csv`;
    try {
      if (club.value) await post(address(file, "/new"));
      else await put(address(file), { text: "lifter,lift,bar,box height (cm),load (kg),chains,bands,set,time,reps,notes,clip\n", revision: null });
      go("sheet", file);
    } catch (cause) {
      setTrouble(troubleOf(cause));
    }
  }

  return (
    <>
      <Title>Session sheets</Title>
      <PlanTabs here="sheet" />
      {list && !list.length && <Nothing>No sheet yet. A sheet says who lifts what: one row a set. With it, every rep is shown with its load, force and power.</Nothing>}
      <ul class="plain">
        {list?.map((s) => (
          <li>
            <a class="card big-link" href={link("sheet", s.name)}>
              <b>{s.name}</b>
              <span class="hint">
                {s.rows} set{s.rows === 1 ? "" : "s"}
                {s.problems > 0 ? `, ${s.problems} to mend` : ""}
              </span>
            </a>
          </li>
        ))}
      </ul>
      {(list || trouble) && <form class="card" onSubmit={(e) => void make(e)} aria-label="New sheet">
        <h2>New sheet</h2>
        <p class="hint">{club.value ? "With a row for every lifter and lift of the club." : "An empty one. With a roster under Club it begins with a row for every lifter and lift."}</p>
        <Field label="Name">
          <input required placeholder="monday" value={name} onInput={(e) => setName(e.currentTarget.value)} />
        </Field>
        <Trouble words={trouble} />
        <button class="main">Make the sheet</button>
      </form>}
    </>
  );
}

/** What the headings mean decides which words a cell proposes. */
function listFor(heading: string): string | undefined {
  const h = heading.toLowerCase();
  if (/lifter|athlete|name/.test(h)) return "sheet-lifters";
  if (/^lift|exercise/.test(h)) return "sheet-lifts";
  if (/^bar/.test(h)) return "sheet-bars";
  return undefined;
}

function Words() {
  const c = club.value;
  const lifts = [...new Set(c?.lifters.flatMap((l) => l.lifts.map((x) => x.lift)) ?? [])];
  const list = (id: string, words: string[]) => (
    <datalist id={id}>
      {words.map((w) => (
        <option value={w} />
      ))}
    </datalist>
  );
  return (
    <>
      {list("sheet-lifters", c?.lifters.map((l) => l.name) ?? [])}
      {list("sheet-lifts", lifts)}
      {list("sheet-bars", c?.bars.map((b) => b.name) ?? [])}
    </>
  );
}

function GridTable({ grid, problems, onChange }: { grid: Grid; problems: SheetReply["problems"]; onChange: (g: Grid) => void }) {
  const [head = [], ...rows] = grid.cells;
  return (
    <div class="scroll sheet-scroll" tabIndex={0} role="region" aria-label="The sheet's rows">
      <table class="sheet-grid">
        <thead>
          <tr>
            <th scope="col">Row</th>
            {head.map((h) => (
              <th scope="col">{h}</th>
            ))}
            <th scope="col" class="no-print">
              <span class="unseen">Row's buttons</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((cells, r) => {
            const wrong = problems.filter((p) => p.row === r + 2);
            return (
              <>
                <tr class={wrong.length ? "wrong" : ""}>
                  <th scope="row">{r + 2}</th>
                  {cells.map((value, c) => (
                    <td>
                      <input aria-label={`${head[c]}, row ${r + 2}`} list={listFor(head[c] ?? "")} value={value} size={Math.max(3, Math.min(30, value.length))} onInput={(e) => onChange(withCell(grid, r + 1, c, e.currentTarget.value))} />
                      <span class="on-paper" aria-hidden="true">
                        {value}
                      </span>
                    </td>
                  ))}
                  <td class="row-buttons no-print">
                    <button type="button" class="quiet" aria-label={`Copy row ${r + 2}`} onClick={() => onChange(withRow(grid, r + 1))}>
                      Copy
                    </button>
                    <button type="button" class="quiet" aria-label={`Remove row ${r + 2}`} onClick={() => onChange(withoutRow(grid, r + 1))}>
                      Remove
                    </button>
                  </td>
                </tr>
                {wrong.length > 0 && (
                  <tr class="problem-row">
                    <td />
                    <td colSpan={head.length + 1}>
                      <p>{wrong.map((p) => `${p.column ? p.column + ": " : ""}${p.what}. ${p.mend}.`).join(" ")}</p>
                    </td>
                  </tr>
                )}
              </>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}

const tidy = (text: string) => gridText(parseGrid(text));

function Editor({ name }: { name: string }) {
  const { stored, text, setText, changed, checked, trouble, said, save, putBack } = useTextFile<SheetReply, SheetReply>({ address: address(name), again: null, normal: tidy });
  const grid = stored && parseGrid(text);
  const setGrid = (g: Grid) => setText(gridText(g));

  const cautions = checked?.notes.filter((n) => n.kind === "caution") ?? [];
  return (
    <>
      <Title
        beside={
          <div class="actions no-print">
            <button type="button" onClick={() => print()}>
              Print
            </button>
            <a class="button" href={link("sheet")}>
              All sheets
            </a>
          </div>
        }
      >
        {name}
      </Title>
      <Trouble words={trouble} />
      {grid && (
        <>
          <GridTable grid={grid} problems={checked?.problems ?? []} onChange={setGrid} />
          <div class="actions no-print">
            <button type="button" onClick={() => setGrid(withRow(grid))}>
              Add a row
            </button>
            <button type="button" class="main" disabled={!changed} onClick={() => void save()}>
              Save the sheet
            </button>
            <button type="button" disabled={!changed} onClick={putBack}>
              Put back
            </button>
          </div>
          <div class="sheet-foot">
          <p class="hint" role="status">
            {said || (changed ? "Not saved yet." : checked?.problems.length ? "" : "Every row can be read.")}
          </p>
          <p class="hint no-print">The load is bar, discs and collars together. Chains and bands are counted over both sides: 2 x heavy chain + 2 x light band.</p>
          </div>
        </>
      )}
      {cautions.length > 0 && (
        <aside class="caution" aria-label="Cautions">
          <ul>
            {cautions.map((n) => (
              <li>{massWords(n.text)}</li>
            ))}
          </ul>
        </aside>
      )}
      <Words />
    </>
  );
}

export const SheetPage = ({ name }: { name: string }) => (name ? <Editor key={name} name={name} /> : <SheetList />);
