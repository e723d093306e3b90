import { useEffect, useState } from "preact/hooks";
import { get, inWords } from "../api";
import { club, clubVersion, state } from "../live";
import type { Club, Failure, RosterReply } from "../model";
import { Choice, Nothing, Title, Trouble } from "../parts/basics";
import { replace } from "../router";
import { useTextFile } from "../parts/use_text_file";
import { troubleOf } from "../uploads";
import { entriesOf } from "../toml_edit";
import { ClubForm, ThresholdForm } from "./club_forms";
import { GearCards } from "./gear_cards";
import { LifterCards } from "./lifter_cards";
import { kGear } from "./roster_asks";

/** Who lifts and with what: the roster, which is one text file, through forms or as text. */

type Check = Pick<RosterReply, "error" | "club">;
type Tab = "lifters" | "gear" | "limits" | "text" | "phone";

/** A roster may write its entries in ways that only a full reader of TOML knows. */
function Elsewhere({ known, shown }: { known: number; shown: number }) {
  return known > shown ? <p class="hint">The roster holds more than is shown here, in another form: see “As text”.</p> : null;
}

const gearCount = (c: Club | null) => (c ? [c.bars, c.discs, c.chains, c.bands, c.racks ?? []].flat().length : 0);

function Phone() {
  const [pairing, setPairing] = useState<{ code: string; link: string; svg: string } | null>(null);
  const [trouble, setTrouble] = useState("");
  useEffect(() => {
    if (state.value?.lan) get<typeof pairing>("/api/pairing").then(setPairing, (cause) => setTrouble(troubleOf(cause)));
  }, [state.value?.lan]);
  if (!state.value?.lan) {
    return <Nothing>The workbench answers this computer only. To use a phone at the rack, start it again with --lan on a network you trust.</Nothing>;
  }
  return (
    <section class="card phone">
      <h2>Phone at the rack</h2>
      <Trouble words={trouble} />
      {pairing && (
        <>
          <p>Point the phone's camera at the squares, or open {state.value.addresses.at(-1)} there and type the code.</p>
          <img class="qr" alt="QR code that pairs a phone" src={`data:image/svg+xml,${encodeURIComponent(pairing.svg)}`} />
          <p class="code">{pairing.code}</p>
        </>
      )}
    </section>
  );
}

function TextEditor({ text, failure, onChange }: { text: string; failure: Failure | null; onChange: (t: string) => void }) {
  return (
    <>
      <label class="field wide">
        <span class="field-label">The roster as text</span>
        <textarea class="roster-text" spellcheck={false} rows={24} value={text} onInput={(e) => onChange(e.currentTarget.value)} />
      </label>
      {failure && <Trouble words={inWords(failure)} />}
    </>
  );
}

const kTabs: [Tab, string][] = [
  ["lifters", "Lifters"],
  ["gear", "Gear"],
  ["limits", "Limits"],
  ["text", "As text"],
  ["phone", "Phone"],
];

/** What the forms did, step by step, as long as nothing else has changed the text since. Saving ends no step. */
function useSteps(text: string, setText: (text: string) => void) {
  const [steps, setSteps] = useState<{ before: string; after: string; done: string }[]>([]);
  const last = steps.at(-1);
  const mine = last !== undefined && last.after === text;
  return {
    change(after: string, done: string) {
      setSteps([...(mine ? steps : []), { before: text, after, done }]);
      setText(after);
    },
    done: mine ? last.done : "",
    undo() {
      if (!mine) return;
      setSteps(steps.slice(0, -1));
      setText(last.before);
    },
  };
}

export function ClubPage({ part }: { part: string }) {
  const tab = kTabs.find(([t]) => t === part)?.[0] ?? "lifters";
  const { stored, text, setText, changed, checked, trouble, said, save, putBack } = useTextFile<Check, RosterReply>({
    address: "/api/roster",
    again: clubVersion.value,
    onTaken: (r) => r.club && (club.value = r.club),
  });

  const { change, done, undo } = useSteps(text, setText);

  const shownClub = checked?.club ?? stored?.club ?? null;
  return (
    <>
      <Title>{shownClub?.name || "The club"}</Title>
      <Choice<Tab>
        label="Part of the club"
        value={tab}
        onChange={(t) => replace("club", t)}
        options={kTabs}
      />
      {tab !== "phone" && (changed || said) && (
        <div class="save-bar" role="status">
          <span>
            {changed && done} {said || (checked?.error ? "Cannot be saved yet." : "Not saved yet.")}
          </span>
          <span class="actions">
            {changed && (
              <button type="button" class="main" disabled={checked?.error !== null && checked !== null} onClick={() => void save()}>
                Save
              </button>
            )}
            {done && (
              <button type="button" onClick={undo}>
                Undo
              </button>
            )}
            {changed && (
              <button type="button" onClick={putBack}>
                Put back
              </button>
            )}
          </span>
        </div>
      )}
      <Trouble words={trouble} />
      {tab !== "text" && tab !== "phone" && checked?.error && <Trouble words={inWords(checked.error)} />}
      {!stored && !trouble && <p class="hint">Reading the roster…</p>}
      {stored && tab === "lifters" && (
        <>
          {!entriesOf(text, "lifter").length && <Nothing>No lifter yet. The roster says who lifts, with which bars, discs, chains and bands, and what you expect: from it come loads at every height, flags and plans. Fill it in here, or paste one under “As text”.</Nothing>}
          <LifterCards text={text} onChange={change} />
          <ClubForm text={text} club={shownClub} onChange={setText} />
          <Elsewhere known={checked?.club?.lifters.length ?? 0} shown={entriesOf(text, "lifter").length} />
        </>
      )}
      {stored && tab === "gear" && (
        <>
          <GearCards text={text} onChange={change} />
          <Elsewhere known={gearCount(checked?.club ?? null)} shown={kGear.flatMap((k) => entriesOf(text, k.table)).length} />
        </>
      )}
      {stored && tab === "limits" && <ThresholdForm text={text} thresholds={shownClub?.thresholds ?? {}} onChange={setText} />}
      {stored && tab === "text" && <TextEditor text={text} failure={checked?.error ?? null} onChange={setText} />}
      {tab === "phone" && <Phone />}
    </>
  );
}
