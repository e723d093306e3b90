import { computed, effect, signal } from "@preact/signals";
import type { Measured } from "./model";

/** Numbers as the coach reads them. Masses can be shown in kilograms or pounds; all else is as the command line prints it. */

const kKilogramsAPound = 0.45359237; // exact by definition (International yard and pound agreement, 1959)

export type MassUnit = "kg" | "lb";

const remembered = localStorage.getItem("mass-unit");
export const chosenUnit = signal<MassUnit | null>(remembered === "kg" || remembered === "lb" ? remembered : null);
export const clubUnit = signal<MassUnit>("kg");
export const massUnit = computed<MassUnit>(() => chosenUnit.value ?? clubUnit.value);
effect(() => {
  if (chosenUnit.value) localStorage.setItem("mass-unit", chosenUnit.value);
});

export const inUnit = (kg: number, unit: MassUnit) => (unit === "lb" ? kg / kKilogramsAPound : kg);
export const toKg = (value: number, unit: MassUnit) => (unit === "lb" ? value * kKilogramsAPound : value);

/** As many decimals as asked, no "-0". */
export function fixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? (0).toFixed(decimals) : text;
}

/** A mass without needless decimals: "92.5", "100". */
export function massText(kg: number, unit: MassUnit = massUnit.value): string {
  const value = inUnit(kg, unit);
  return String(Math.round(value * (unit === "lb" ? 2 : 4)) / (unit === "lb" ? 2 : 4));
}

export const mass = (kg: number, unit: MassUnit = massUnit.value) => `${massText(kg, unit)} ${unit}`;

/** Numbers before a unit of mass: "92.5 kg", "80 to 95 kg", "0.76 ± 0.03 m/s" not. No "kg m" and no "kg/m". */
const kMasses = /(\d+(?:\.\d+)?(?:(?: (?:to|and|or|±) | ?– ?)\d+(?:\.\d+)?)*)([\s\u00a0]?)(kg|lb)\b(?![\s\u00a0]?[·*/]|[\s\u00a0]m\b)/g;

/** The server's sentence with its masses in the unit shown, as finely as they were written. */
export function massWords(text: string, unit: MassUnit = massUnit.value): string {
  return text.replace(kMasses, (all, numbers: string, space: string, from: MassUnit) => {
    if (from === unit) return all;
    const other = numbers.replace(/\d+(?:\.\d+)?/g, (n) => {
      const decimals = n.split(".")[1]?.length ?? 0;
      return fixed(inUnit(toKg(Number(n), from), unit), Math.min(decimals, 1));
    });
    return `${other}${space}${unit}`;
  });
}

export const ok = (m: Measured | undefined): m is { value: number; lo: number; hi: number } => m !== undefined && "value" in m;
export const half = (m: { lo: number; hi: number }) => (m.hi - m.lo) / 2;

/** "0.666 ± 0.016", in `unit` SI units, or "not measured". */
export function withInterval(m: Measured | undefined, unit: number, decimals: number): string {
  if (!ok(m)) return "not measured";
  return `${fixed(m.value / unit, decimals)} ± ${fixed(half(m) / unit, decimals)}`;
}

export const percent = (m: Measured | undefined) => (ok(m) ? fixed(100 * m.value, 0) : "–");

export function clock(seconds: number): string {
  const s = Math.max(0, seconds);
  const minutes = Math.floor(s / 60);
  return minutes > 0 ? `${minutes}:${fixed(s % 60, 2).padStart(5, "0")}` : `${fixed(s, 2)} s`;
}

/** Time left, rounded so that it does not flicker. */
export function timeLeft(seconds: number): string {
  if (seconds < 1.5) return "a moment left";
  if (seconds < 60) return `${Math.ceil(seconds)} s left`;
  const minutes = Math.ceil(seconds / 60);
  return minutes < 60 ? `${minutes} min left` : `${Math.floor(minutes / 60)} h ${minutes % 60} min left`;
}

export function bytes(count: number): string {
  if (count < 1e3) return `${count} B`;
  if (count < 1e6) return `${fixed(count / 1e3, 0)} kB`;
  if (count < 1e9) return `${fixed(count / 1e6, 1)} MB`;
  return `${fixed(count / 1e9, 2)} GB`;
}

const kMonths = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
const kWeekdays = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];

/** "Thursday 26 November 2026" of "2026-11-26". */
export function dayInWords(day: string): string {
  const [y, m, d] = day.split("-").map(Number);
  if (!y || !m || !d) return "Day not known";
  const weekday = kWeekdays[new Date(Date.UTC(y, m - 1, d)).getUTCDay()];
  return `${weekday} ${d} ${kMonths[m - 1]} ${y}`;
}

/** "26 Nov" of "2026-11-26". */
export function shortDay(day: string): string {
  const [, m, d] = day.split("-").map(Number);
  return m && d ? `${d} ${kMonths[m - 1]!.slice(0, 3)}` : "no day";
}

/** "14:05" of an ISO stamp, in the reader's own time. */
export function timeOfDay(iso: string): string {
  const at = new Date(iso);
  return isNaN(at.getTime()) ? "" : `${String(at.getHours()).padStart(2, "0")}:${String(at.getMinutes()).padStart(2, "0")}`;
}

/** "0.62 m/s up", or "still" below the speed from which a rise is counted. */
export function speedInWords(velocity_mps: number): string {
  if (Math.abs(velocity_mps) < 0.02) return "still";
  return `${fixed(Math.abs(velocity_mps), 2)} m/s ${velocity_mps > 0 ? "up" : "down"}`;
}

/** The parts of "0.666 ± 0.016", or of a reason. */
export function splitCell(cell: string): { value: string; plus: string } {
  const [value = "", plus = ""] = cell.split(" ± ");
  return { value, plus };
}
