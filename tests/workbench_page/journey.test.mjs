// The whole job from an empty logbook, as a coach does it: club, sheet, clip, table, correction, lifter, print.
// The table is held against the command line's, which analyses the same clip by itself.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { bringClub, browser, clip, desktop, kLong, noting, openPage, pageRows, rosterFile, run, scratch, serve, tableRows } from "./lib/bench.mjs";

let chrome, room, server, page;

before(async () => {
  room = scratch();
  server = await serve(room.folder + "/logbook");
  chrome = await browser();
  page = await openPage(await chrome.newContext(desktop), server.address);
});
after(async () => {
  await chrome?.close();
  await server?.kill("SIGTERM");
  room?.end();
});

test("an empty logbook says how to begin and offers the sample day", async () => {
  await page.getByRole("heading", { name: "Nothing in the logbook yet" }).waitFor();
  await page.getByRole("button", { name: "Load the sample day" }).waitFor();
});

test("the club's roster is written in the page", async () => {
  await bringClub(page, readFileSync(rosterFile, "utf8"));
  await page.getByRole("button", { name: "Lifters" }).click();
  await page.getByRole("heading", { name: "Odalys Brandt" }).waitFor();
});

test("a roster that cannot be read is refused with line and mend", async () => {
  await page.getByRole("button", { name: "As text" }).click();
  const text = page.getByLabel("The roster as text");
  const good = await text.inputValue();
  await text.fill(good.replace("slowed_loss_percent", "slowed_los_percent"));
  await page.getByRole("alert").filter({ hasText: "slowed_loss_percent" }).first().waitFor();
  assert.ok(await page.getByRole("button", { name: "Save", exact: true }).isDisabled());
  await page.getByRole("button", { name: "Put back" }).click();
});

test("the sheet is made in the page and its mistakes are named by row", async () => {
  await page.goto(server.address + "/#/sheet");
  await page.getByLabel("Name").fill("monday");
  await page.getByRole("button", { name: "Make the sheet" }).click();
  await page.getByRole("heading", { name: "monday.csv" }).waitFor();
  const cell = (name, row) => page.getByLabel(new RegExp(`^${name}.*, row ${row}$`, "i"));
  assert.equal(await cell("lifter", 2).inputValue(), "Odalys Brandt");
  await cell("load", 2).fill("9"); // less than the bar weighs
  await page.locator(".problem-row").waitFor();
  await cell("load", 2).fill("92.5");
  await cell("chains", 2).fill("2 x heavy chain");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await page.getByText("Saved. The one before is kept").waitFor();
  assert.equal(await page.locator(".problem-row").count(), 0);
});

test("a clip is added, its row chosen, and progress is shown until the set can be opened", async () => {
  await page.goto(server.address + "/#/add");
  await page.getByLabel("Choose clips and logs").setInputFiles(clip("box_squat"));
  const card = page.locator("[data-file='northgate_box_squat.mp4']");
  await card.getByRole("button", { name: "Row of a sheet" }).click();
  await card.getByRole("radio", { name: /Odalys Brandt/ }).check();
  const progressShown = await noting(page, ".job progress");
  await card.getByRole("button", { name: /^Measure it/ }).click();
  await page.locator(".job.done").waitFor({ timeout: kLong });
  assert.ok(await progressShown());
  await page.getByRole("link", { name: "Open the set" }).click({ timeout: kLong });
  await page.getByRole("heading", { name: "Odalys Brandt" }).waitFor();
});

test("the set table equals the command line's", async () => {
  const logbook = room.folder + "/logbook";
  const printed = run("analyse", clip("box_squat"), "--sheet", `${logbook}/sheets/monday.csv`, "--row", "2", "--roster", `${logbook}/roster.toml`);
  const rows = tableRows(printed);
  assert.ok(rows.length >= 4);
  assert.deepEqual(await pageRows(page), rows);
});

test("the numbers that can be downloaded equal the command line's CSV", async () => {
  const logbook = room.folder + "/logbook";
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Numbers (CSV)" }).click()]);
  const csv = readFileSync(await download.path(), "utf8");
  const own = run("analyse", clip("box_squat"), "--sheet", `${logbook}/sheets/monday.csv`, "--row", "2", "--roster", `${logbook}/roster.toml`, "--csv", "-");
  assert.equal(csv.trim(), own.trim());
});

test("the clip's picture is drawn and follows the cursor", async () => {
  const picture = page.locator("canvas.picture");
  await page.waitForFunction(() => document.querySelector("canvas.picture")?.dataset.drawn !== undefined);
  const before = await picture.evaluate((c) => c.toDataURL());
  await page.locator(".scrub").focus();
  for (let i = 0; i < 12; i++) await page.keyboard.press("ArrowRight");
  const at = await page.locator(".scrub").inputValue();
  await page.waitForFunction((i) => document.querySelector("canvas.picture")?.dataset.drawn === i, at);
  assert.notEqual(await picture.evaluate((c) => c.toDataURL()), before);
  assert.match(await page.locator(".readout").innerText(), /m\/s up/);
});

test("a day shows the set at a glance", async () => {
  await page.goto(server.address + "/#/day");
  const line = page.locator(".set-line").filter({ hasText: "box squat" });
  await line.waitFor();
  const text = await line.innerText();
  assert.match(text, /92\.5 kg/);
  assert.match(text, /0\.7\d/);
});

test("loads are shown in pounds when asked", async () => {
  await page.getByRole("button", { name: "lb", exact: true }).click();
  await page.locator(".set-line").filter({ hasText: "204 lb" }).waitFor(); // 92.5 / 0.45359237 = 203.93
  await page.getByRole("button", { name: "kg", exact: true }).click();
});

test("the sheet prints with every row and no buttons", async () => {
  await page.goto(server.address + "/#/sheet/monday.csv");
  await page.getByRole("heading", { name: "monday.csv" }).waitFor();
  const pdf = await page.pdf({ format: "A4", landscape: true });
  const text = spawnSync("pdftotext", ["-layout", "-", "-"], { input: pdf, encoding: "utf8" }).stdout;
  for (const name of ["Odalys Brandt", "Imre Castellan", "Wenna Duarte", "92.5", "heavy chain"]) assert.ok(text.includes(name), `${name} is on paper`);
  assert.ok(!text.includes("Save the sheet"));
});

test("the page's script met no error on the way", () => assert.deepEqual(page.wrong, []));
