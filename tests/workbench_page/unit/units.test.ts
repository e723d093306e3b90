// Numbers in words. The pound is exact by definition (0.45359237 kg, International yard and pound agreement of 1959).
import assert from "node:assert/strict";
import { test } from "node:test";
import "../unit_browser";
import { bytes, dayInWords, fixed, mass, massWords, speedInWords, splitCell, timeLeft, toKg, withInterval } from "../../../tools/workbench/page/src/units";
import { gathered, spoken } from "../../../tools/workbench/page/src/words";
import { indexAt, nearest } from "../../../tools/workbench/page/src/set/timeline";
import { steps } from "../../../tools/workbench/page/src/parts/axis";

test("masses in both units", () => {
  assert.equal(mass(92.5, "kg"), "92.5 kg");
  assert.equal(mass(100, "kg"), "100 kg");
  assert.equal(mass(toKg(225, "lb"), "lb"), "225 lb");
  assert.equal(mass(100, "lb"), "220.5 lb");
  assert.equal(toKg(1, "lb"), 0.45359237);
});

test("masses in sentences follow the unit shown, and nothing else does", () => {
  assert.equal(massWords("0.68 ± 0.03 m/s; 0.76 ± 0.03 m/s expected at 100.3 kg", "lb"), "0.68 ± 0.03 m/s; 0.76 ± 0.03 m/s expected at 221.1 lb");
  assert.equal(massWords("From 80 to 95 kg.", "lb"), "From 176 to 209 lb.");
  assert.equal(massWords("102.5 ± 3.5 kg (95 to 110 kg)", "lb"), "226.0 ± 7.7 lb (209 to 243 lb)");
  assert.equal(massWords("80 and 90 kg", "lb"), "176 and 198 lb");
  assert.equal(massWords("set 3, 92.5 kg", "lb"), "set 3, 203.9 lb");
  assert.equal(massWords("450 kg m of work, 3.8 kg/m of chain, 12 kg·m", "lb"), "450 kg m of work, 3.8 kg/m of chain, 12 kg·m");
  assert.equal(massWords("225 lb on the bar", "kg"), "102 kg on the bar");
  assert.equal(massWords("225 lb on the bar", "lb"), "225 lb on the bar");
});

test("numbers have their decimals and no minus before nought", () => {
  assert.equal(fixed(-0.0001, 2), "0.00");
  assert.equal(fixed(0.5, 3), "0.500");
  assert.equal(withInterval({ value: 0.6664, lo: 0.6504, hi: 0.6824 }, 1, 3), "0.666 ± 0.016");
  assert.equal(withInterval({ not_measured: "disc hidden" }, 1, 3), "not measured");
  assert.deepEqual(splitCell("0.666 ± 0.016"), { value: "0.666", plus: "0.016" });
});

test("speeds, sizes and times in words", () => {
  assert.equal(speedInWords(0.623), "0.62 m/s up");
  assert.equal(speedInWords(-0.5), "0.50 m/s down");
  assert.equal(speedInWords(-0.01), "still");
  assert.equal(bytes(276879), "277 kB");
  assert.equal(timeLeft(0.4), "a moment left");
  assert.equal(timeLeft(61), "2 min left");
  assert.equal(dayInWords("2026-11-26"), "Thursday 26 November 2026");
  assert.equal(dayInWords(""), "Day not known");
});

test("a certain flag stands for the uncertain one of its kind", () => {
  assert.deepEqual(gathered(["maybe-slowed", "slowed", "maybe-high-bottom"]), ["slowed", "maybe-high-bottom"]);
  assert.deepEqual(spoken("maybe-below-expected"), { words: "maybe below expected", sure: false });
});

test("the cursor finds its place in uneven times", () => {
  const t = [0, 0.1, 0.25, 0.3, 1];
  assert.equal(indexAt(t, 0.26), 2);
  assert.equal(nearest(t, 0.26), 2);
  assert.equal(nearest(t, 0.29), 3);
  assert.equal(nearest(t, -1), 0);
  assert.equal(nearest(t, 9), 4);
  assert.equal(nearest([], 9), 0);
});

test("axes go in round steps past the largest value", () => {
  assert.deepEqual(steps(1.07, 4), [0, 0.5, 1, 1.5]);
  assert.deepEqual(steps(63, 5).at(-1), 80);
});
