// The club's roster changed by its forms: what is asked for changes and nothing else, a slip is undone, and nothing that
// was measured goes with a lifter who goes.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { browser, openPage, phone, scratch, seasonLogbook, serve } from "./lib/bench.mjs";
import { hold } from "./lib/look.mjs";

const laptop = { viewport: { width: 1366, height: 768 } };
let chrome, room, server, logbook, page, original;

before(async () => {
  room = scratch();
  logbook = seasonLogbook(room.folder + "/season");
  original = roster();
  server = await serve(logbook);
  chrome = await browser();
});
after(async () => {
  await chrome?.close();
  await server?.kill("SIGTERM");
  room?.end();
});

function roster() {
  return readFileSync(logbook + "/roster.toml", "utf8");
}
const sessions = () => readdirSync(logbook).filter((name) => name.endsWith(".h5")).length;
const button = (name) => page.getByRole("button", { name, exact: true });
const form = (name) => page.getByRole("form", { name });
const bar = () => page.locator(".save-bar");

/** Lines that stand in one text only, either way. */
function changed(before, after) {
  const [a, b] = [before.split("\n"), after.split("\n")];
  return { gone: a.filter((l) => !b.includes(l)), fresh: b.filter((l) => !a.includes(l)) };
}

async function saved() {
  await button("Save").click();
  await bar().getByText("Saved. The one before is kept").waitFor();
}

test("a bar is changed, its comments stay, and the list follows", async () => {
  page = await openPage(await chrome.newContext({ ...laptop, bypassCSP: true }), server.address + "/#/club/gear");
  await button("Change cambered bar").click();
  const asked = form("Change cambered bar");
  assert.equal(await asked.getByLabel("Mass, kg").inputValue(), "25");
  assert.equal(await asked.getByLabel("Sleeves above a straight bar's, cm").inputValue(), "-18");
  await hold(page, "gear_change-desk");
  await asked.getByLabel("Mass, kg").fill("27,5");
  await asked.getByLabel("Sleeves above a straight bar's, cm").fill("-20");
  await asked.getByRole("button", { name: "Change it" }).click();
  await bar().getByText("Changed cambered bar.").waitFor();
  await page.locator("section[aria-label=Bars] li").filter({ hasText: "cambered bar" }).getByText("27.5 kg, carries 350 kg").waitFor();
  assert.equal(roster(), original, "nothing is stored before it is saved");
  await saved();
  assert.deepEqual(changed(original, roster()).fresh, ["mass_kg = 27.5", "sleeves_raised_cm = -20    # its sleeves hang lower than a straight bar's would"]);
});

test("what cannot be is named and not saved, and undo goes back step by step", async () => {
  const stored = roster();
  await button("Change heavy chain").click();
  await form("Change heavy chain").getByLabel("Mass over length, kg/m").fill("heavy");
  await form("Change heavy chain").getByRole("button", { name: "Change it" }).click();
  await page.getByRole("alert").filter({ hasText: "mass_kg_per_m" }).waitFor();
  assert.ok(await button("Save").isDisabled());
  await button("Change rack one").click();
  await form("Change rack one").getByRole("button", { name: "Take out" }).click();
  await bar().getByText("Took out rack one.").waitFor();
  assert.equal(await page.locator("section[aria-label=Racks]").count(), 0);
  await button("Undo").click();
  await page.locator("section[aria-label=Racks]").getByText("rack one").waitFor();
  await bar().getByText("Changed heavy chain.").waitFor();
  await button("Undo").click();
  await page.getByRole("alert").waitFor({ state: "detached" });
  assert.equal(roster(), stored);
});

test("a chain is taken out, saved, and brought back by undo", async () => {
  const stored = roster();
  await button("Change heavy chain").click();
  await form("Change heavy chain").getByRole("button", { name: "Take out" }).click();
  await saved();
  assert.ok(!roster().includes("heavy chain"));
  assert.ok(roster().includes("# Weighed: mass over length of one strand."));
  await button("Undo").click();
  await saved();
  assert.equal(roster(), stored);
});

test("bands are added by the form and changed by it", async () => {
  await page.getByText("Add bands", { exact: true }).click();
  const fresh = form("Add bands");
  await fresh.getByLabel("Name").fill("green band");
  await fresh.getByLabel("Lengths measured, cm").fill("50 70 90");
  await fresh.getByLabel("What the scale showed, kg").fill("0 8 14,5");
  await fresh.getByLabel("Anchor above the floor, cm").fill("8");
  await fresh.getByRole("button", { name: "Add the bands" }).click();
  await button("Change green band").click();
  const asked = form("Change green band");
  assert.equal(await asked.getByLabel("What the scale showed, kg").inputValue(), "0 8 14.5");
  await asked.getByLabel("How many").fill("2");
  await asked.getByRole("button", { name: "Change it" }).click();
  await page.locator("section[aria-label=Bands]").getByText("2 bands").waitFor();
  await saved();
  assert.ok(roster().endsWith('\n\n[[band]]\nname = "green band"\nstretched_cm = [50, 70, 90]\ntension_kg = [0, 8, 14.5]\nanchor_height_cm = 8\ncount = 2\n'));
});

test("on a phone a lifter is taken out, and all he lifted stays", async () => {
  await page.close();
  page = await openPage(await chrome.newContext({ ...phone, bypassCSP: true }), server.address + "/#/club/lifters");
  const [stored, count] = [roster(), sessions()];
  await button("Change Imre Castellan").click();
  await hold(page, "lifter_change-phone");
  await form("Change Imre Castellan").getByRole("button", { name: "Take out" }).click();
  await page.getByRole("heading", { name: "Imre Castellan" }).waitFor({ state: "detached" });
  await saved();
  assert.ok(!roster().includes("Imre Castellan"));
  assert.ok(readdirSync(logbook + "/kept").some((name) => readFileSync(`${logbook}/kept/${name}`, "utf8") === stored), "the roster before is kept");
  assert.equal(sessions(), count);
  await page.goto(server.address + "/#/lifters");
  await page.locator("li.card").filter({ hasText: "Imre Castellan" }).getByRole("link").first().click();
  await page.locator(".profile-card .point").first().waitFor();
  const { sets } = await (await fetch(server.address + "/api/history?lifter=Imre%20Castellan")).json();
  assert.ok(sets.length > 0);
});

test("a lift is changed and taken out on a phone", async () => {
  await page.goto(server.address + "/#/club/lifters");
  await button("Change Odalys Brandt's box squat").click();
  const asked = form("Change Odalys Brandt's box squat");
  assert.equal(await asked.getByLabel("Best single, kg").inputValue(), "175");
  await hold(page, "lift_change-phone");
  await asked.getByLabel("Best single, kg").fill("180");
  await asked.getByLabel("Zone, m/s").fill("0.65 0.9");
  await asked.getByRole("button", { name: "Change it" }).click();
  await page.getByText("best single 180 kg · zone 0.65–0.9 m/s").waitFor();
  await saved();
  await button("Change Odalys Brandt's box squat").click();
  await form("Change Odalys Brandt's box squat").getByRole("button", { name: "Take out" }).click();
  await button("Change Odalys Brandt's box squat").waitFor({ state: "detached" });
  await button("Undo").click();
  await button("Change Odalys Brandt's box squat").waitFor();
});

test("the page's script met no error on the way", () => assert.deepEqual(page.wrong, []));
