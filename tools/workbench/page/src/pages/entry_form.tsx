import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { Field } from "../parts/basics";
import { type Entry, typed, type Value, withChanged, withEntry, withoutEntry } from "../toml_edit";
import { keyOf, type Kind, labelOf, valueOf } from "./roster_asks";

/** Forms over one entry of the roster's text: a new one, or one that is changed or taken out. Nothing is stored before it is saved. */

/** Takes the new text and what was done to it, for the undo. */
export type Change = (text: string, done: string) => void;

function Fields(props: { kind: Kind; entry: Entry | null; label: string; button: string; onEntry: (values: [string, Value | ""][]) => void; children?: ComponentChildren }) {
  const { kind, entry } = props;
  const stored = () => Object.fromEntries(kind.asks.map((a) => [a.stem, entry ? typed(entry, keyOf(a, entry)) : ""]));
  const [words, setWords] = useState<Record<string, string>>(stored);
  function submit(e: Event) {
    e.preventDefault();
    props.onEntry(kind.asks.map((a) => [keyOf(a, entry), valueOf(a, words[a.stem] ?? "")]));
    if (!entry) setWords({});
  }
  return (
    <form onSubmit={submit} aria-label={props.label}>
      <div class="fields">
        {kind.asks.map((a) => (
          <Field label={labelOf(a, entry)} {...(a.hint ? { hint: a.hint } : {})}>
            <input required={a.required ?? false} inputMode={a.kind === "number" ? "decimal" : "text"} value={words[a.stem] ?? ""} onInput={(e) => setWords({ ...words, [a.stem]: e.currentTarget.value })} />
          </Field>
        ))}
      </div>
      <div class="actions">
        <button>{props.button}</button>
        {props.children}
      </div>
    </form>
  );
}

/** "a bar", "discs". */
const some = (kind: Kind) => (kind.one.endsWith("s") ? kind.one : `a ${kind.one}`);

export function AddForm({ kind, title, open, onEntry }: { kind: Kind; title?: string; open?: boolean; onEntry: (values: [string, Value | ""][]) => void }) {
  const words = title ?? `Add ${some(kind)}`;
  return (
    <details class="more card" open={open ?? false}>
      <summary>{words}</summary>
      <Fields kind={kind} entry={null} label={words} button={`Add the ${kind.one}`} onEntry={onEntry} />
    </details>
  );
}

export const addTo = (text: string, kind: Kind, onChange: Change) => (values: [string, Value | ""][]) => onChange(withEntry(text, kind.table, values), `Added ${some(kind)}.`);

/** One entry in a line, with the form that changes it or takes it out behind a button. */
export function EntryLine(props: { kind: Kind; entry: Entry; name: string; text: string; onChange: Change; removing?: string; children: ComponentChildren }) {
  const { kind, entry, name, text, onChange } = props;
  const [open, setOpen] = useState(false);
  return (
    <>
      <div class="entry-line">
        {props.children}
        <button type="button" class="quiet" aria-expanded={open} aria-label={open ? `Leave it: ${name}` : `Change ${name}`} onClick={() => setOpen(!open)}>
          {open ? "Leave it" : "Change"}
        </button>
      </div>
      {open && (
        <div class="entry-form">
          <Fields
            kind={kind}
            entry={entry}
            label={`Change ${name}`}
            button="Change it"
            onEntry={(values) => {
              setOpen(false);
              onChange(withChanged(text, entry, values), `Changed ${name}.`);
            }}
          >
            <button type="button" onClick={() => onChange(withoutEntry(text, entry), `Took out ${name}.`)}>
              Take out
            </button>
          </Fields>
          {props.removing && <p class="hint">{props.removing}</p>}
        </div>
      )}
    </>
  );
}


