// Forms change one place of the roster's text and leave the rest, comments too, as it was.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { withEntry, withKey, withLift, withTopKey } from "../../../tools/workbench/page/src/toml_edit";

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
