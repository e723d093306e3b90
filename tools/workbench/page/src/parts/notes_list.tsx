import type { Note } from "../model";
import { massWords } from "../units";

/** Notes of which the library tells the text alone. */
export const told = (texts: string[]): Note[] => texts.map((text) => ({ kind: "decision", text }));

/** Cautions stand out; decisions are told. */
export function NotesList({ notes }: { notes: Note[] }) {
  const cautions = notes.filter((n) => n.kind === "caution");
  const others = notes.filter((n) => n.kind !== "caution");
  return (
    <>
      {cautions.length > 0 && (
        <aside class="caution" aria-label="Cautions">
          <ul>
            {cautions.map((n) => (
              <li>{massWords(n.text)}</li>
            ))}
          </ul>
        </aside>
      )}
      {others.length > 0 && (
        <ul class="notes hint">
          {others.map((n) => (
            <li>{massWords(n.text)}</li>
          ))}
        </ul>
      )}
    </>
  );
}
