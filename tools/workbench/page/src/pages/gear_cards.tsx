import { type Entry, entriesOf, typed } from "../toml_edit";
import { mass } from "../units";
import { AddForm, addTo, type Change, EntryLine } from "./entry_form";
import { kGear, type Kind, massIn } from "./roster_asks";

/** Bars, discs, chains, bands and racks of the roster, each with the means to change it. */

function nameOf(kind: Kind, entry: Entry): string {
  const mass_kg = massIn(entry, "mass");
  return kind.table === "disc" && mass_kg !== null ? `${mass(mass_kg)} discs` : typed(entry, "name");
}

function wordsOf(kind: Kind, entry: Entry): string {
  const mass_kg = massIn(entry, "mass");
  const limit_kg = massIn(entry, "limit");
  const count = typed(entry, "count");
  const what = ({ disc: "disc", chain: "strand", band: "band" } as Record<string, string>)[kind.table];
  return [
    kind.table === "bar" && mass_kg !== null ? mass(mass_kg) : "",
    limit_kg === null ? "" : `carries ${mass(limit_kg)}`,
    what && count !== "" ? `${count} ${what}${count === "1" ? "" : "s"}` : "",
  ]
    .filter(Boolean)
    .join(", ");
}

function KindCard({ kind, text, onChange }: { kind: Kind; text: string; onChange: Change }) {
  const entries = entriesOf(text, kind.table);
  if (!entries.length) return null;
  return (
    <section class="card entries" aria-label={kind.many}>
      <h2>{kind.many}</h2>
      <ul class="facts">
        {entries.map((entry) => {
          const name = nameOf(kind, entry);
          return (
            <li key={name}>
              <EntryLine kind={kind} entry={entry} name={name} text={text} onChange={onChange}>
                <span class="entry-what">
                  <b>{name.replace(/ discs$/, "")}</b>
                  <span class="hint">{wordsOf(kind, entry)}</span>
                </span>
              </EntryLine>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

export function GearCards({ text, onChange }: { text: string; onChange: Change }) {
  return (
    <>
      <div class="cards">
        {kGear.map((kind) => (
          <KindCard key={kind.table} kind={kind} text={text} onChange={onChange} />
        ))}
      </div>
      {kGear.map((kind) => (
        <AddForm key={kind.table} kind={kind} onEntry={addTo(text, kind, onChange)} />
      ))}
    </>
  );
}
