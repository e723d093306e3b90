import { useEffect, useState } from "preact/hooks";
import { get, inWords } from "../api";
import { club, clubVersion, state } from "../live";
import type { Club, Failure, RosterReply } from "../model";
import { Choice, Nothing, Title, Trouble } from "../parts/basics";
import { mass } from "../units";
import { replace } from "../router";
import { useTextFile } from "../parts/use_text_file";
import { troubleOf } from "../uploads";
import { ClubForm, GearForms, LifterForms, ThresholdForm } from "./club_forms";

/** Who lifts and with what: the roster, which is one text file, through forms or as text. */

type Check = Pick<RosterReply, "error" | "club">;
type Tab = "lifters" | "gear" | "limits" | "text" | "phone";

function Lifters({ c }: { c: Club }) {
  return (
    <ul class="plain cards">
      {c.lifters.map((l) => (
        <li class="card">
          <h2>{l.name}</h2>
          <ul class="facts">
            {l.lifts.map((x) => (
              <li>
                <b>{x.lift}</b>
                <span class="hint">
                  {[
                    x.bar ?? "",
                    x.box_height_m ? `box ${Math.round(100 * x.box_height_m)} cm` : "",
                    x.best_single_kg ? `best single ${mass(x.best_single_kg)}` : "",
                    x.zone_mps ? `zone ${x.zone_mps[0]}–${x.zone_mps[1]} m/s` : "",
                  ]
                    .filter(Boolean)
                    .join(" · ")}
                </span>
              </li>
            ))}
            {!l.lifts.length && <li class="hint">no lift yet</li>}
          </ul>
        </li>
      ))}
    </ul>
  );
}

function Gear({ c }: { c: Club }) {
  const owned = (n: number | null, what: string) => (n === null ? "" : `${n} ${what}${n === 1 ? "" : "s"}`);
  const rows: [string, [string, string][]][] = [
    ["Bars", c.bars.map((b) => [b.name, `${mass(b.mass_kg)}${b.limit_kg ? `, carries ${mass(b.limit_kg)}` : ""}`])],
    ["Discs", c.discs.map((d) => [mass(d.mass_kg), owned(d.count, "disc")])],
    ["Chains", c.chains.map((x) => [x.name, owned(x.count, "strand")])],
    ["Bands", c.bands.map((x) => [x.name, owned(x.count, "band")])],
    ["Racks", (c.racks ?? []).map((x) => [x.name, `carries ${mass(x.limit_kg)}`])],
  ];
  return (
    <div class="cards">
      {rows
        .filter(([, list]) => list.length)
        .map(([title, list]) => (
          <section class="card">
            <h2>{title}</h2>
            <dl class="pairs">
              {list.map(([k, v]) => (
                <div>
                  <dt>{k}</dt>
                  <dd>{v}</dd>
                </div>
              ))}
            </dl>
          </section>
        ))}
    </div>
  );
}

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

export function ClubPage({ part }: { part: string }) {
  const tab = kTabs.find(([t]) => t === part)?.[0] ?? "lifters";
  const { stored, text, setText, changed, checked, trouble, said, save, putBack } = useTextFile<Check, RosterReply>({
    address: "/api/roster",
    again: clubVersion.value,
    onTaken: (r) => r.club && (club.value = r.club),
  });

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
          <span>{said || (checked?.error ? "Cannot be saved yet." : "Not saved yet.")}</span>
          {changed && (
            <span class="actions">
              <button type="button" class="main" disabled={checked?.error !== null && checked !== null} onClick={() => void save()}>
                Save
              </button>
              <button type="button" onClick={putBack}>
                Put back
              </button>
            </span>
          )}
        </div>
      )}
      <Trouble words={trouble} />
      {tab !== "text" && tab !== "phone" && checked?.error && <Trouble words={inWords(checked.error)} />}
      {!stored && !trouble && <p class="hint">Reading the roster…</p>}
      {stored && tab === "lifters" && (
        <>
          {!shownClub?.lifters.length && <Nothing>No lifter yet. The roster says who lifts, with which bars, discs, chains and bands, and what you expect: from it come loads at every height, flags and plans. Fill it in here, or paste one under “As text”.</Nothing>}
          {shownClub && <Lifters c={shownClub} />}
          <LifterForms text={text} lifters={shownClub?.lifters.map((l) => l.name) ?? []} onChange={setText} />
          <ClubForm text={text} club={shownClub} onChange={setText} />
          <p class="hint">To change or take out what is here, edit it under “As text”.</p>
        </>
      )}
      {stored && tab === "gear" && (
        <>
          {shownClub && <Gear c={shownClub} />}
          <GearForms text={text} onChange={setText} />
          <p class="hint">To change or take out what is here, edit it under “As text”.</p>
        </>
      )}
      {stored && tab === "limits" && <ThresholdForm text={text} thresholds={shownClub?.thresholds ?? {}} onChange={setText} />}
      {stored && tab === "text" && <TextEditor text={text} failure={checked?.error ?? null} onChange={setText} />}
      {tab === "phone" && <Phone />}
    </>
  );
}
