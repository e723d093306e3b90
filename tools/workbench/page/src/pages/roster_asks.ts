import type { Entry, Value } from "../toml_edit";
import { typed } from "../toml_edit";
import { type MassUnit, massUnit, toKg } from "../units";

/** What the forms ask of each kind of thing in the roster, for a new one as for one that is there. */

const kMass = ["kg", "lb"];
const kHeight = ["cm", "m", "mm", "in"];
const kLength = ["m", "cm", "mm", "in"];
const kDensity = ["kg_per_m", "lb_per_ft"];
const kForce = ["kg", "lb", "n"];
const kUnitWords: Record<string, string> = { kg_per_m: "kg/m", lb_per_ft: "lb/ft", n: "N" };

export interface Ask {
  /** The key without its unit. */
  stem: string;
  label: string;
  hint?: string;
  kind: "text" | "number" | "list";
  /** In which it may be written; the first is asked for. */
  units?: string[];
  required?: boolean;
}

export interface Kind {
  table: string;
  /** "bar": add a bar, change the bar. */
  one: string;
  many: string;
  asks: Ask[];
}

const name: Ask = { stem: "name", label: "Name", kind: "text", required: true };
const count: Ask = { stem: "count", label: "How many", kind: "number" };
const limit: Ask = { stem: "limit", label: "Carries at most", kind: "number", units: kMass };

export const kGear: Kind[] = [
  {
    table: "bar",
    one: "bar",
    many: "Bars",
    asks: [name, { stem: "mass", label: "Mass", kind: "number", units: kMass, required: true }, { stem: "sleeves_raised", label: "Sleeves above a straight bar's", hint: "negative when they hang lower", kind: "number", units: kHeight }, limit],
  },
  { table: "disc", one: "discs", many: "Discs", asks: [{ stem: "mass", label: "Mass of one", kind: "number", units: kMass, required: true }, { ...count, required: true }] },
  {
    table: "chain",
    one: "chains",
    many: "Chains",
    asks: [name, { stem: "mass", label: "Mass over length", hint: "weigh it: sold weights differ", kind: "number", units: kDensity, required: true }, { stem: "length", label: "Length of one strand", kind: "number", units: kLength, required: true }, { stem: "leader_length", label: "Light rope above it", kind: "number", units: kHeight }, count],
  },
  {
    table: "band",
    one: "bands",
    many: "Bands",
    asks: [
      name,
      { stem: "stretched", label: "Lengths measured", hint: "anchor to bar: 50 70 90 110", kind: "list", units: kHeight, required: true },
      { stem: "tension", label: "What the scale showed", hint: "as many: 0 6.5 10.5 14", kind: "list", units: kForce, required: true },
      { stem: "anchor_height", label: "Anchor above the floor", kind: "number", units: kHeight, required: true },
      count,
    ],
  },
  { table: "rack", one: "rack", many: "Racks", asks: [name, { ...limit, required: true }] },
];

export const kLifter: Kind = { table: "lifter", one: "lifter", many: "Lifters", asks: [name] };

export const kLift: Kind = {
  table: "lifter.lift",
  one: "lift",
  many: "Lifts",
  asks: [
    { stem: "lift", label: "Lift", kind: "text", required: true },
    { stem: "bar", label: "Only with this bar", kind: "text" },
    { stem: "box_height", label: "Only with this box", kind: "number", units: kHeight },
    { stem: "best_single", label: "Best single", kind: "number", units: kMass },
    { stem: "lockout_height", label: "Bar at lockout", hint: "its centre above the floor", kind: "number", units: kHeight },
    { stem: "bottom_height", label: "Bar at the bottom", hint: "where a full rep turns round", kind: "number", units: kHeight },
    { stem: "zone_mps", label: "Zone, m/s", hint: "two numbers: 0.65 0.90", kind: "list" },
  ],
};

/** The unit in which an entry has it; for what it has not, the club's own. */
function unitOf(ask: Ask, entry: Entry | null): string {
  const units = ask.units ?? [];
  const there = units.find((u) => entry?.keys.has(`${ask.stem}_${u}`));
  return there ?? (units === kMass ? massUnit.value : (units[0] ?? ""));
}

export const keyOf = (ask: Ask, entry: Entry | null) => (ask.units ? `${ask.stem}_${unitOf(ask, entry)}` : ask.stem);

export function labelOf(ask: Ask, entry: Entry | null): string {
  const unit = unitOf(ask, entry);
  return unit ? `${ask.label}, ${kUnitWords[unit] ?? unit}` : ask.label;
}

const number = (s: string) => Number(s.replace(",", "."));

/** What was typed, as it goes into the roster; a number that is none stays as it was typed, and the check names it. */
export function valueOf(ask: Ask, words: string): Value | "" {
  const tidy = words.trim();
  if (tidy === "" || ask.kind === "text") return tidy;
  if (ask.kind === "number") return isFinite(number(tidy)) ? number(tidy) : tidy;
  const all = tidy.split(/[;\s]+/).filter(Boolean).map(number);
  return all.every(isFinite) ? all : tidy;
}

/** A mass of an entry in kg, whatever it is written in. */
export function massIn(entry: Entry, stem: string): number | null {
  const unit = kMass.find((u) => entry.keys.has(`${stem}_${u}`));
  return unit ? toKg(Number(typed(entry, `${stem}_${unit}`)), unit as MassUnit) : null;
}
