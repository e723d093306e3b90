import { useEffect, useState } from "preact/hooks";
import { get } from "../api";
import { club, sessions, state } from "../live";
import type { HistorySet, ProfilesReply } from "../model";
import { Nothing, Title, Trouble } from "../parts/basics";
import { NotesList } from "../parts/notes_list";
import { can } from "../parts/plan_tabs";
import { ProfileCard, ZoneCard } from "../parts/profile_card";
import { query, useGet } from "../parts/use_get";
import { link } from "../router";
import { fixed, mass, massUnit, ok, shortDay } from "../units";
import { troubleOf } from "../uploads";

/** A lifter over the weeks: what was lifted, how fast at which load, where the bar slows. */

function useHistory(): [HistorySet[] | null, string] {
  const [sets, setSets] = useState<HistorySet[] | null>(null);
  const [trouble, setTrouble] = useState("");
  useEffect(() => {
    get<{ sets: HistorySet[] }>("/api/history").then(
      (r) => setSets(r.sets),
      (cause) => setTrouble(troubleOf(cause)),
    );
  }, [sessions.value]);
  return [sets, trouble];
}

export function fastestOf(set: HistorySet): number | null {
  const all = set.reps.flatMap((r) => (ok(r.mean_velocity_mps) ? [r.mean_velocity_mps.value] : []));
  return all.length ? Math.max(...all) : null;
}

function Everyone({ sets }: { sets: HistorySet[] }) {
  const names = [...new Set([...(club.value?.lifters.map((l) => l.name) ?? []), ...sets.map((s) => s.lifter)])].filter(Boolean);
  if (!names.length) return <Nothing>
        No lifter yet. Add lifters under <a href={link("club")}>Club</a>, or say who lifted when you <a href={link("add")}>add a clip</a>.
      </Nothing>;
  return (
    <ul class="plain cards">
      {names.map((name) => {
        const own = sets.filter((s) => s.lifter === name);
        const lifts = [...new Set([...own.map((s) => s.lift), ...(club.value?.lifters.find((l) => l.name === name)?.lifts.map((l) => l.lift) ?? [])])];
        return (
          <li class="card">
            <h2>{name}</h2>
            <ul class="facts">
              {lifts.map((lift) => {
                const sets = own.filter((s) => s.lift === lift).length;
                return (
                  <li>
                    <a class="big-link" href={link("lifters", name, lift)}>
                      <b>{lift}</b>
                      <span class="hint">{sets ? `${sets} set${sets === 1 ? "" : "s"} measured` : "nothing measured yet"}</span>
                    </a>
                  </li>
                );
              })}
            </ul>
          </li>
        );
      })}
    </ul>
  );
}

const kFirstSets = 12;

const gearOf = (s: HistorySet) => [s.bar, s.box_height_m ? `box ${Math.round(100 * s.box_height_m)} cm` : "", s.accommodating].filter(Boolean).join(", ");

function mostUsual(words: string[]): string {
  const count = (w: string) => words.filter((o) => o === w).length;
  return words.reduce((most, w) => (count(w) > count(most) ? w : most), words[0] ?? "");
}

function Sets({ sets }: { sets: HistorySet[] }) {
  const [all, setAll] = useState(false);
  const shown = all ? sets : sets.slice(0, kFirstSets);
  const usual = mostUsual(sets.map(gearOf)); // said once
  return (
    <>
      {usual && <p class="hint">With {usual}{sets.some((s) => gearOf(s) !== usual) ? ", unless it says otherwise" : ""}.</p>}
      <div class="scroll" tabIndex={0} role="region" aria-label="Sets measured">
        <table class="plain-table">
          <thead>
            <tr>
              <th scope="col">Day</th>
              <th scope="col">Load</th>
              <th scope="col">Reps</th>
              <th scope="col">Fastest m/s</th>
              <th scope="col">Last m/s</th>
            </tr>
          </thead>
          <tbody>
            {shown.map((s) => {
              const last = s.reps.at(-1)?.mean_velocity_mps;
              const fastest = fastestOf(s);
              return (
                <tr>
                  <th scope="row">
                    <a href={link("set", s.session.replace(/\.h5$/, ""))}>
                      {shortDay(s.day)} {s.start}
                    </a>
                    {gearOf(s) !== usual && <span class="hint sets-with">{gearOf(s) || "no bar named"}</span>}
                  </th>
                  <td>{mass(s.stated_load_kg)}</td>
                  <td>{s.reps.length}</td>
                  <td>{fastest === null ? "–" : fixed(fastest, 3)}</td>
                  <td>{ok(last) ? fixed(last.value, 3) : "–"}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
      {sets.length > shown.length && (
        <button type="button" onClick={() => setAll(true)}>
          All {sets.length} sets
        </button>
      )}
    </>
  );
}

function StickingMap({ lifter, lift }: { lifter: string; lift: string }) {
  const [there, setThere] = useState(true);
  if (!there) return <Nothing>No sticking map yet: it needs sets of this lift that were measured with a sheet.</Nothing>;
  return (
    <figure class="map">
      <img src={"/api/sticking.svg" + query({ lifter, lift, unit: massUnit.value })} alt={`Where the bar slows: ${lifter}, ${lift}`} onError={() => setThere(false)} />
    </figure>
  );
}

export function LiftersPage({ lifter, lift }: { lifter: string; lift: string }) {
  const [sets, trouble] = useHistory();
  const asked = lifter && lift ? query({ lifter, lift, unit: massUnit.value }) : "";
  const version = sessions.value;
  // The zone's address tells the profiles with their zones.
  const from = can("zone") ? "/api/zone" : can("profile") ? "/api/profile" : "";
  const found = useGet<ProfilesReply>(asked && from ? from + asked : null, version);
  const profiles = found.reply?.profiles ?? [];
  const ready = sets && state.value && found.ready; // all at once: nothing jumps
  if (!lifter || !lift) {
    return (
      <>
        <Title>Lifters</Title>
        <Trouble words={trouble} />
        {sets && <Everyone sets={sets} />}
      </>
    );
  }
  const own = (sets ?? []).filter((s) => s.lifter === lifter && s.lift === lift).sort((a, b) => b.day.localeCompare(a.day) || b.start.localeCompare(a.start));
  return (
    <>
      <Title
        beside={
          <a class="button" href={link("lifters")}>
            All lifters
          </a>
        }
      >
        {lifter}, {lift}
      </Title>
      <Trouble words={trouble || found.trouble} />
      {!ready && !trouble && !found.trouble && (
        <p class="hint" role="status">
          Fitting the club's lines…
        </p>
      )}
      {sets && !own.length && <Nothing>Nothing measured yet of this lift.</Nothing>}
      {ready && own.length > 0 && (
        <div class="lift-page">
          <div class="lift-column">
            {profiles.map((p) => (
              <ProfileCard p={p} />
            ))}
            <section class="card own-sets">
              <h2>Sets</h2>
              <Sets sets={own} />
            </section>
          </div>
          <div class="lift-column">
            <ZoneCard profiles={profiles} />
            <NotesList notes={found.reply?.notes ?? []} />
            <section class="card own-map">
              <h2>Where the bar slows</h2>
              <StickingMap lifter={lifter} lift={lift} />
            </section>
          </div>
        </div>
      )}
    </>
  );
}
