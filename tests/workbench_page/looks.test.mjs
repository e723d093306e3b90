// Every page on a phone and on a desk, light and dark: nothing runs over the edge, nothing jumps, and axe-core finds
// nothing serious (its rules follow WCAG 2.1 A and AA). The pictures are left in KINETICS_SHOTS to be looked at.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { browser, desktop, kLong, openPage, phone, quiet, run, scratch, seasonLogbook, serve } from "./lib/bench.mjs";
import { look } from "./lib/look.mjs";

let chrome, room, server, season;
let places = {};
const seasonPlaces = {
  profile: "#/lifters/Odalys%20Brandt/box%20squat",
  plan: "#/plan",
  waves: "#/waves",
  plan_text: "#/plan-text",
};

before(async () => {
  room = scratch();
  server = await serve(room.folder + "/logbook");
  season = await serve(seasonLogbook(room.folder + "/season"));
  chrome = await browser();
});
after(async () => {
  await chrome?.close();
  await server?.kill("SIGTERM");
  await season?.kill("SIGTERM");
  room?.end();
});

test("the sample day is offered and measured", async () => {
  const page = await openPage(await chrome.newContext(desktop), server.address);
  await page.getByRole("button", { name: "Load the sample day" }).click();
  await page.waitForFunction(() => document.querySelectorAll(".job.done").length === 3, null, { timeout: kLong });
  const { sessions } = await (await fetch(server.address + "/api/sessions")).json();
  assert.ok(sessions.length >= 3);
  const id = (lift) => encodeURIComponent(sessions.find((s) => s.lift === lift).id);
  places = {
    day: "#/day",
    add: "#/add",
    box_squat: `#/set/${id("box squat")}`,
    deadlift: `#/set/${id("deadlift")}`,
    lifters: "#/lifters",
    lift: "#/lifters/Odalys%20Brandt/box%20squat",
    sheets: "#/sheet",
    sheet: "#/sheet/speed_day.csv",
    club: "#/club",
    gear: "#/club/gear",
  };
  await page.close();
});

test("the day shows each set with its own reps", async () => {
  const page = await openPage(await chrome.newContext(desktop), server.address + "/#/day");
  const { sessions } = await (await fetch(server.address + "/api/sessions")).json();
  for (const s of sessions) {
    const own = await (await fetch(`${server.address}/api/sessions/${encodeURIComponent(s.id)}?samples=0`)).json();
    assert.equal(own.provenance.source_name, s.source);
    const line = page.locator(".set-line").filter({ hasText: s.lift });
    await line.locator(".rep-bar").first().waitFor();
    assert.equal(await line.locator(".rep-bar").count(), own.reps.length);
    const loss = `${Math.round(100 * own.reps.at(-1).velocity_loss.value)} %`;
    assert.ok((await line.innerText()).includes(loss), `${s.lift}: ${loss}`);
  }
  await page.close();
});

/** What the command line tells of the season's logbook. */
const told = (command) => JSON.parse(run(command, "--logbook", room.folder + "/season", "--json", "-"));

test("next session and waves are the command line's", async () => {
  const page = await openPage(await chrome.newContext(desktop), season.address + "/#/plan");
  await page.locator(".crew-table").waitFor();
  const day = told("plan").days[0];
  const rows = await page.locator(".crew-table tbody tr").allInnerTexts();
  assert.equal(rows.length, day.loadings.length);
  for (const [i, l] of day.loadings.entries()) {
    for (const words of [l.lifter, `${l.load_kg} kg`, l.move_words, `${l.expected_mps.lo.toFixed(2)} to ${l.expected_mps.hi.toFixed(2)}`]) {
      assert.ok(rows[i].includes(words), `${l.lifter}: ${words} is not in ${rows[i]}`);
    }
  }
  await page.goto(season.address + "/#/waves");
  await page.locator(".waves-table").waitFor();
  const changes = await page.locator(".waves-table tbody tr").allInnerTexts();
  const { team_difference_mps: team, lifters } = told("compare");
  const all = [team, ...lifters.map((l) => l.difference_mps)];
  assert.equal(changes.length, all.length);
  for (const [i, c] of all.entries()) {
    assert.ok(changes[i].includes(c.word), changes[i]);
    assert.ok(changes[i].includes(Math.abs(c.value).toFixed(3)), `${c.value} is not in ${changes[i]}`);
  }
  await page.close();
});

for (const [device, options] of [["desk", desktop], ["phone", phone]]) {
  for (const colorScheme of ["light", "dark"]) {
    test(`every page holds on a ${device}, ${colorScheme}`, async () => {
      const context = await chrome.newContext({ ...options, colorScheme, bypassCSP: true });
      assert.ok(Object.keys(places).length > 0);
      for (const [name, hash] of Object.entries(places)) await look(context, `${name}-${device}-${colorScheme}`, server.address + "/" + hash);
      for (const [name, hash] of Object.entries(seasonPlaces)) await look(context, `${name}-${device}-${colorScheme}`, season.address + "/" + hash);
      await context.close();
    });
  }
}

test("the page obeys its own content policy", async () => {
  const page = await openPage(await chrome.newContext(desktop), "about:blank");
  const refused = [];
  page.on("console", (m) => /Content Security Policy/i.test(m.text()) && refused.push(m.text()));
  for (const hash of Object.values(places)) {
    await page.goto(server.address + "/" + hash);
    await page.locator("main h1").waitFor();
    await quiet(page);
  }
  assert.deepEqual(refused, []);
  await page.close();
});

test("the whole set is worked by keyboard", async () => {
  const page = await openPage(await chrome.newContext(desktop), server.address + "/" + places.deadlift);
  await page.locator("table.reps").waitFor();
  const reach = async (what) => {
    for (let i = 0; i < 120; i++) {
      await page.keyboard.press("Tab");
      if (await page.evaluate((w) => document.activeElement?.matches(w) ?? false, what)) return;
    }
    assert.fail(`${what} is not reached by Tab`);
  };
  await reach("tr[data-rep='3'] button");
  await page.keyboard.press("Enter");
  await page.locator("tr[data-rep='3'] button[aria-pressed=true]").waitFor();
  await reach(".scrub");
  const at = Number(await page.locator(".scrub").inputValue());
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction((i) => Number(document.querySelector(".scrub").value) === i, at + 1);
  await reach("button[aria-label='End one picture earlier']");
  await page.keyboard.press("Enter");
  await page.getByText("Not stored yet").waitFor();
  await reach(".draft button:not(.main)");
  await page.keyboard.press("Enter");
  await page.getByText("Not stored yet").waitFor({ state: "detached" });
  await page.close();
});

test("the way back and a reload keep the place", async () => {
  const page = await openPage(await chrome.newContext(phone), season.address + "/#/day");
  await page.locator(".fine").waitFor(); // stands below the last set
  await page.evaluate(() => scrollTo(0, 1800));
  await page.waitForFunction(() => history.state?.y === 1800);
  await page.evaluate(() => (location.hash = "#/plan"));
  await page.locator(".crew-table").waitFor();
  const there = () => page.waitForFunction(() => location.hash === "#/day" && Math.abs(scrollY - 1800) < 2);
  await page.goBack();
  await there();
  await page.reload();
  await there();
  await page.close();
});
