// Forms change one place of the roster's text and leave the rest, comments too, as it was.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { entriesOf, typed, withChanged, withEntry, withKey, withLift, withoutEntry, withTopKey } from "../../../tools/workbench/page/src/toml_edit";

const roster = readFileSync(process.env["KINETICS_SAMPLES"] + "/club/northgate.toml", "utf8");
const lines = (s: string) => s.split("\n");

/** Lines that stand in one text only, either way. */
function changed(before: string, after: string): { gone: string[]; fresh: string[] } {
  const a = lines(before);
  const b = lines(after);
  return { gone: a.filter((l) => !b.includes(l)), fresh: b.filter((l) => !a.includes(l)) };
}

test("a limit is changed where it stands and its comment stays", () => {
  const after = withKey(roster, "thresholds", "slowed_loss_percent", 15);
  assert.deepEqual(changed(roster, after), {
    gone: ["slowed_loss_percent = 20   # a rep this far below the set's fastest is slowed"],
    fresh: ["slowed_loss_percent = 15   # a rep this far below the set's fastest is slowed"],
  });
});

test("a limit that is not there is added to its table", () => {
  const after = withKey(roster, "thresholds", "zone_mps", [0.7, 0.95]);
  const at = lines(after).indexOf("zone_mps = [0.7, 0.95]");
  assert.ok(at > lines(after).indexOf("[thresholds]"));
  assert.ok(at < lines(after).indexOf("[[bar]]"));
  assert.equal(withKey(after, "thresholds", "zone_mps", null), roster);
});

test("a text without the table gets one", () => {
  assert.equal(withKey('club = "X"\n', "thresholds", "uneven_pause_s", 0.4), 'club = "X"\n\n[thresholds]\nuneven_pause_s = 0.4\n');
});

test("an entry goes to the end, without what was left empty", () => {
  const after = withEntry(roster, "bar", [["name", 'the "long" bar'], ["mass_kg", 22.5], ["limit_kg", ""]]);
  assert.ok(after.startsWith(roster.trimEnd()));
  assert.ok(after.endsWith('\n[[bar]]\nname = "the \\"long\\" bar"\nmass_kg = 22.5\n'));
});

test("a lift goes behind the lifter's last one and before the next lifter", () => {
  const after = withLift(roster, "Odalys Brandt", [["lift", "front squat"], ["best_single_kg", 150]])!;
  const all = lines(after);
  const at = all.indexOf('lift = "front squat"');
  assert.ok(at > all.indexOf('lift = "box squat"'));
  assert.ok(at < all.indexOf('name = "Imre Castellan"'));
  assert.equal(withLift(roster, "Nobody", []), null);
});

test("the club's name is changed where it stands, or put above all else", () => {
  const after = withTopKey(roster, "club", "Southgate");
  assert.deepEqual(changed(roster, after).fresh, ['club = "Southgate"']);
  assert.equal(lines(after).length, lines(roster).length);
  assert.equal(withTopKey("", "club", "A"), 'club = "A"\n');
  assert.equal(withTopKey('[[lifter]]\nname = "B"\n', "unit", "lb"), 'unit = "lb"\n\n[[lifter]]\nname = "B"\n');
});

const named = (text: string, table: string, name: string) => entriesOf(text, table).find((e) => typed(e, "name") === name)!;

test("an entry's keys are read as they would be typed", () => {
  const band = named(roster, "band", "light band");
  assert.equal(typed(band, "stretched_cm"), "50 70 90 110");
  assert.equal(typed(band, "tension_kg"), "0 6.5 10.5 14");
  assert.equal(typed(band, "no_such"), "");
  assert.deepEqual(entriesOf(roster, "disc").map((d) => typed(d, "mass_kg")), ["25", "20", "10", "5", "2.5", "1.25"]);
  assert.equal(typed(entriesOf("[[bar]]\nname = 'a # b' # c\n", "bar")[0]!, "name"), "a # b");
});

test("a lifter's lifts are his own, with the lists that run over several lines", () => {
  const lifts = entriesOf(roster, "lifter.lift", named(roster, "lifter", "Imre Castellan"));
  assert.deepEqual(lifts.map((l) => typed(l, "lift")), ["paused bench"]);
  assert.equal(lifts[0]!.keys.get("expected")!.end - lifts[0]!.keys.get("expected")!.begin, 4);
});

test("a changed entry keeps its comments, its place and what was not asked for", () => {
  const bar = named(roster, "bar", "cambered bar");
  const after = withChanged(roster, bar, [["name", "cambered bar"], ["mass_kg", 27.5], ["sleeves_raised_cm", -20], ["limit_kg", ""], ["count", 2]]);
  assert.deepEqual(changed(roster, after), {
    gone: ["mass_kg = 25", "sleeves_raised_cm = -18    # its sleeves hang lower than a straight bar's would", "limit_kg = 350"].filter((l) => !after.split("\n").includes(l)),
    fresh: ["mass_kg = 27.5", "sleeves_raised_cm = -20    # its sleeves hang lower than a straight bar's would"],
  });
  assert.equal(typed(named(after, "bar", "cambered bar"), "count"), "2");
  assert.ok(!named(after, "bar", "cambered bar").keys.has("limit_kg"));
});

test("what says the same is left as it was written", () => {
  const lift = entriesOf(roster, "lifter.lift")[0]!;
  assert.equal(withChanged(roster, lift, [["lift", "box squat"], ["box_height_cm", 45], ["zone_mps", [0.65, 0.9]], ["best_single_kg", 175]]), roster);
});

test("a list over several lines is changed whole", () => {
  const text = "[[band]]\nname = \"b\"\nstretched_cm = [\n  50, # slack\n  70,\n]\ncount = 1\n";
  assert.equal(withChanged(text, entriesOf(text, "band")[0]!, [["stretched_cm", [50, 80]]]), '[[band]]\nname = "b"\nstretched_cm = [50, 80]\ncount = 1\n');
});

test("an entry goes with what belongs to it, and comments of others stay", () => {
  const chain = withoutEntry(roster, named(roster, "chain", "heavy chain"));
  assert.ok(chain.includes("# Weighed: mass over length of one strand."));
  assert.ok(chain.includes("# Measured with a hanging scale, anchor to bar."));
  assert.equal(entriesOf(chain, "chain").length, 0);
  assert.equal(entriesOf(chain, "band").length, 1);

  const lifter = withoutEntry(roster, named(roster, "lifter", "Imre Castellan"));
  assert.ok(!lifter.includes("paused bench") && !lifter.includes("0.62"));
  assert.deepEqual(entriesOf(lifter, "lifter").map((l) => typed(l, "name")), ["Odalys Brandt", "Wenna Duarte"]);
  assert.deepEqual(entriesOf(lifter, "lifter.lift").map((l) => typed(l, "lift")), ["box squat", "deadlift"]);

  const lift = withoutEntry(roster, entriesOf(roster, "lifter.lift", named(roster, "lifter", "Wenna Duarte"))[0]!);
  assert.deepEqual(entriesOf(lift, "lifter").map((l) => typed(l, "name")), ["Odalys Brandt", "Imre Castellan", "Wenna Duarte"]);
  assert.ok(!lift.includes("deadlift"));
});

test("what is taken out and what is added again give the same entries", () => {
  const bar = named(roster, "bar", "straight bar");
  const after = withEntry(withoutEntry(roster, bar), "bar", [["name", "straight bar"], ["mass_kg", 20], ["limit_kg", 400]]);
  const all = (text: string) => entriesOf(text, "bar").map((e) => [...e.keys].map(([k, v]) => `${k} = ${v.value}`).join()).sort();
  assert.deepEqual(all(after), all(roster));
});
