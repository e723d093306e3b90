import type { Measured, Rep, TableRow } from "../model";
import { Flag } from "../parts/basics";
import { fixed, inUnit, massUnit, massWords, ok, percent, splitCell, withInterval } from "../units";
import { about, choose, chosen, preview, rows, same, session, shown } from "./open_set";

/** The set table: what the command line prints, large enough to read from the rack. */

/** "0.666 ± 0.016" with its interval below. */
function Stacked({ cell }: { cell: string }) {
  const { value, plus } = splitCell(cell);
  return (
    <>
      <span class="value">{value}</span> {plus && <span class="plus">± {plus}</span>}
    </>
  );
}

function Number_({ cell, name, reason }: { cell: string; name: string; reason: string | null }) {
  return (
    <td class={`n ${name}`} data-label={name}>
      {reason ? <span class="reason">not measured: {reason}</span> : <Stacked cell={cell} />}
    </td>
  );
}

const reasonOf = (m: Measured) => (ok(m) ? null : m.not_measured);

function Row({ rep, cells, many }: { rep: Rep; cells: TableRow; many: boolean }) {
  const mine = chosen.value !== null && same(rep, chosen.value);
  const name = many ? `${rep.set}.${rep.rep}` : String(rep.rep);
  return (
    <tr class={mine ? "mine" : ""} onClick={() => choose(rep)} data-rep={name}>
      <th scope="row">
        <button type="button" aria-pressed={mine} aria-label={`Rep ${name}: show it`} onClick={(e) => (e.stopPropagation(), choose(rep))}>
          {name}
        </button>
      </th>
      <Number_ cell={cells.mean_velocity} name="mean" reason={reasonOf(rep.mean_velocity_mps)} />
      <td class="n loss">
        <span class="value">{cells.loss}</span>
      </td>
      <Number_ cell={cells.peak_velocity} name="peak" reason={reasonOf(rep.peak_velocity_mps)} />
      <Number_ cell={cells.range} name="rom" reason={reasonOf(rep.rom_m)} />
      <td class="n start">
        <span class="value">{cells.start}</span>
      </td>
      <td class="flags">{cells.flags.length ? cells.flags.map((f) => <Flag flag={f} />) : <span class="unseen">none</span>}</td>
    </tr>
  );
}

export function RepTable() {
  const s = shown.value;
  if (!s) return null;
  const many = new Set(s.reps.map((r) => r.set)).size > 1;
  if (!s.reps.length) return <p class="nothing">No rep was found. Was the disc followed? Look at the clip, and point at the disc if not.</p>;
  return (
    <table class={preview.value ? "reps trying" : "reps"}>
      <caption class="unseen">Every rep with its 95 % interval</caption>
      <thead>
        <tr>
          <th scope="col">Rep</th>
          <th scope="col" class="n mean">
            Mean velocity <span class="unit">m/s</span>
          </th>
          <th scope="col" class="n loss">
            Loss <span class="unit">%</span>
          </th>
          <th scope="col" class="n peak">
            Peak velocity <span class="unit">m/s</span>
          </th>
          <th scope="col" class="n rom">
            Range <span class="unit">cm</span>
          </th>
          <th scope="col" class="n start">
            Start <span class="unit">s</span>
          </th>
          <th scope="col" class="flags">
            Flags
          </th>
        </tr>
      </thead>
      <tbody>
        {s.reps.map((rep) => {
          const cells = rows.value.find((r) => same(r, rep));
          return cells && <Row key={`${rep.set}.${rep.rep}`} rep={rep} many={many} cells={cells} />;
        })}
      </tbody>
    </table>
  );
}

function slowPoint(rep: Rep): string {
  const low = rep.sticking_low_height;
  if (!ok(low)) return low.not_measured === "not applicable" ? "none" : low.not_measured === "within noise" ? "cannot tell" : "not measured";
  const ends = ok(rep.sticking_from_height) && ok(rep.second_peak_height) ? `, ${percent(rep.sticking_from_height)}–${percent(rep.second_peak_height)}` : "";
  return `${percent(low)} %${ends}`;
}

/** Load at each height, force and power: known once it is known what was on the bar. */
export function LoadTable() {
  const s = shown.value;
  if (!s || !s.reps.some((r) => ok(r.mean_load_kg))) return null;
  const unit = massUnit.value;
  const load = (m: Measured) => (ok(m) ? fixed(inUnit(m.value, unit), 1) : "–");
  const whole = (m: Measured) => (ok(m) ? <Stacked cell={withInterval(m, 1, 0)} /> : "–");
  return (
    <section class="card" aria-label="Load, force and power">
      <h2>Load, force and power</h2>
      <div class="scroll" tabIndex={0} role="region" aria-label="Table of load, force and power">
        <table class="plain-table">
          <thead>
            <tr>
              <th scope="col">Rep</th>
              <th scope="col">Bottom<span class="unit">{unit}</span></th>
              <th scope="col">Mean<span class="unit">{unit}</span></th>
              <th scope="col">Top<span class="unit">{unit}</span></th>
              <th scope="col">Mean force<span class="unit">N</span></th>
              <th scope="col">Peak force<span class="unit">N</span></th>
              <th scope="col">Mean power<span class="unit">W</span></th>
              <th scope="col">Slow point<span class="unit">height</span></th>
            </tr>
          </thead>
          <tbody>
            {s.reps.map((r) => (
              <tr>
                <th scope="row">{r.rep}</th>
                <td>{load(r.bottom_load_kg)}</td>
                <td>{load(r.mean_load_kg)}</td>
                <td>{load(r.top_load_kg)}</td>
                <td>{whole(r.mean_force_n)}</td>
                <td>{whole(r.peak_force_n)}</td>
                <td>{whole(r.mean_power_w)}</td>
                <td>{slowPoint(r)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="hint">Loads are the straight weight that would weigh the same. Slow point: where in a sticking region the bar was slowest, and the region's ends, as shares of the range.</p>
    </section>
  );
}

/** Each flag as a sentence, with what speaks for it. */
export function Findings() {
  const list = shown.value?.findings ?? [];
  if (!list.length) return null;
  const worded = preview.value ? undefined : about.value?.finding_sentences;
  return (
    <section class="card" aria-label="What to look at">
      <h2>What to look at</h2>
      <ul class="findings">
        {list.map((f, i) => (
          <li>
            <button type="button" class="link" onClick={() => choose(f)}>
              Rep {f.rep}
            </button>{" "}
            {worded?.length === list.length ? massWords(worded[i]!.replace(/^Set \d+ rep \d+, /, "")) : massWords(`${f.kind.replaceAll("-", " ")}: ${f.certainty}. ${f.evidence}.`)}
          </li>
        ))}
      </ul>
    </section>
  );
}

export function Notes() {
  const notes = session.value?.notes ?? [];
  const cautions = notes.filter((n) => n.kind === "caution");
  const decisions = notes.filter((n) => n.kind !== "caution");
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
      {decisions.length > 0 && (
        <details class="more">
          <summary>What was decided for you ({decisions.length})</summary>
          <ul>
            {decisions.map((n) => (
              <li>{massWords(n.text)}</li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}
