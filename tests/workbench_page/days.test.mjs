// A whole day from one recording: added with its sheet, watched through a reload and a killed server, the same as the
// command line's, and each set's lifter settled by the coach. The recording is rendered from samples/day/make_day.py,
// which also tells what is true of it.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, renameSync } from "node:fs";
import { after, before, test } from "node:test";
import { bringClub, browser, desktop, openPage, phone, run, samples, scratch, serve } from "./lib/bench.mjs";
import { look } from "./lib/look.mjs";

/** Two minutes of recording are long on a machine that does much else; nothing is asserted about time. */
const kLong = 1_800_000;
const folder = process.env.KINETICS_DAY ?? "page-day";
const recording = folder + "/day.mp4";
const sheet = folder + "/sheet.csv";
const rosterFile = folder + "/roster.toml";
let chrome, room, server, page, context, truth;

function command(program, ...args) {
  const done = spawnSync(program, args, { encoding: "utf8" });
  assert.equal(done.status, 0, `${program}: ${done.stderr}`);
}

/** Rendered once and kept. */
function renderDay() {
  if (existsSync(recording)) return;
  mkdirSync(folder, { recursive: true });
  command("python3", samples + "/day/make_day.py", folder, "--minutes", "2", "--lifters", "4");
  command(process.env.RENDER_CLIP, folder + "/scene.json", folder + "/part.mp4");
  renameSync(folder + "/part.mp4", recording);
}

before(async () => {
  room = scratch();
  renderDay();
  truth = JSON.parse(readFileSync(folder + "/truth.json", "utf8"));
  server = await serve(room.folder + "/logbook");
  chrome = await browser();
  context = await chrome.newContext(desktop);
  page = await openPage(context, server.address);
  await bringClub(page, readFileSync(rosterFile, "utf8"));
});
after(async () => {
  await chrome?.close();
  await server?.kill("SIGTERM");
  room?.end();
});

const job = () => page.locator(".job").filter({ hasText: "day.mp4 with sheet.csv" }).first();

test("a recording of the whole day is added with a sheet from a file", async () => {
  await page.goto(server.address + "/#/add");
  await page.getByLabel("Choose clips and logs").setInputFiles(recording);
  const card = page.locator("[data-file='day.mp4']");
  await card.getByRole("button", { name: "A whole day" }).click();
  await card.getByRole("button", { name: /^Measure it/ }).click(); // without a sheet it is not sent
  assert.ok(await card.locator("select:invalid").first().isVisible());
  assert.equal(await page.locator(".job").count(), 0);
  await card.getByLabel("Choose a sheet's file").setInputFiles(sheet);
  await card.locator("select").first().locator("option[value='sheet.csv']:checked").waitFor({ state: "attached" });
  await card.getByLabel("Day", { exact: false }).last().fill("2031-03-07");
  await card.getByRole("button", { name: /^Measure it/ }).click();
  await job().getByRole("progressbar").waitFor();
});

test("it goes on through a reload and a killed server", async () => {
  await page.reload();
  await job().getByText("Watching the whole day").waitFor();
  await server.kill("SIGKILL");
  await page.locator(".offline:not([hidden])").waitFor();
  server = await serve(room.folder + "/logbook", { port: server.port });
  await page.locator(".offline").waitFor({ state: "hidden" });
  await page.getByRole("link", { name: "Open the day" }).click({ timeout: kLong });
  await page.getByRole("heading", { name: "Friday 7 March 2031" }).waitFor();
});

const lifterOf = (row) => page.locator("section.lifter-card").filter({ has: page.locator(`[data-row='${row}']`) }).getAttribute("aria-label");

test("every set is found and given to its row, and what was not lifted is said", async () => {
  await page.locator("li.found[data-set]").first().waitFor();
  assert.equal(await page.locator("li.found[data-set]").count(), truth.sets.length);
  for (const [i, set] of truth.sets.entries()) {
    assert.equal(await page.locator(`li[data-set='${i + 1}']`).getAttribute("data-row"), String(set.row));
    assert.equal(await lifterOf(set.row), set.lifter);
  }
  for (const row of truth.missed_rows) await page.locator(`li.missed[data-row='${row}']`).getByText("not seen").waitFor();
});

test("the filled sheet is the command line's", async () => {
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Filled sheet" }).click()]);
  const alone = room.folder + "/alone";
  run("analyse", recording, "--sheet", sheet, "--roster", rosterFile, "--logbook", alone, "--filled", room.folder + "/filled.csv");
  assert.equal(readFileSync(await download.path(), "utf8"), readFileSync(room.folder + "/filled.csv", "utf8"));
});

/** The list of rows beside a set, which is folded away where nothing is in doubt. */
async function wordOn(set) {
  const line = page.locator(`li[data-set='${set}']`);
  await line.waitFor();
  if ((await line.locator("details[open]").count()) === 0) await line.locator("summary").click();
  return line.getByLabel(/^Set \d+ is/);
}

test("the coach's word is kept, worked in, and survives a reload", async () => {
  const { row, lifter } = truth.sets[0];
  await (await wordOn(1)).selectOption({ label: "nobody's: not on the sheet" });
  const extra = page.locator("section[aria-label='Not on the sheet'] li.found");
  await extra.getByText("extra set, your word").waitFor({ timeout: kLong });
  assert.match(readFileSync(room.folder + "/logbook/sheet.rows.txt", "utf8"), /day\.mp4 at 0:00:\d+\.\d is nobody's/);
  await page.reload();
  await extra.getByText("extra set, your word").waitFor();
  await (await wordOn(1)).selectOption(String(row));
  await page.locator(`section[aria-label='${lifter}'] .worth.word`).waitFor({ timeout: kLong });
  assert.equal(await page.locator("section[aria-label='Not on the sheet']").count(), 0);
});

test("one row is not given to two sets", async () => {
  await (await wordOn(2)).selectOption(String(truth.sets[0].row));
  await page.locator("li[data-set='2'] [role=alert]").filter({ hasText: "set 1 is this row by your word" }).waitFor();
});

test("a set of the day opens with its picture and leads back", async () => {
  await page.locator("li[data-set='3'] .set-line").click();
  await page.getByRole("heading", { name: truth.sets[2].lifter }).waitFor();
  await page.waitForFunction(() => document.querySelector("canvas.picture")?.dataset.drawn !== undefined);
  await page.getByRole("link", { name: /^Whose set is it/ }).click();
  await page.getByRole("heading", { name: "Friday 7 March 2031" }).waitFor();
});

test("a sheet that was changed since is worked in when asked", async () => {
  const { row } = truth.sets[1];
  await page.goto(server.address + "/#/sheet/sheet.csv");
  await page.getByLabel(new RegExp(`^load.*, row ${row}$`, "i")).fill("155");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await page.getByText("Saved. The one before is kept").waitFor();
  await page.goto(server.address + "/#/recording/day.mp4");
  await page.getByRole("button", { name: "Work it in" }).click();
  await page.locator("li[data-set='2'] .set-line").filter({ hasText: "155 kg" }).waitFor({ timeout: kLong });
});

for (const [device, options] of [["desk", desktop], ["phone", phone]]) {
  for (const colorScheme of ["light", "dark"]) {
    test(`the day holds on a ${device}, ${colorScheme}`, async () => {
      const looking = await chrome.newContext({ ...options, colorScheme, bypassCSP: true });
      await look(looking, `recording-${device}-${colorScheme}`, server.address + "/#/recording/day.mp4");
      await look(looking, `recording_day-${device}-${colorScheme}`, server.address + "/#/day/2031-03-07");
      await looking.close();
    });
  }
}

test("the day's page can be printed", async () => {
  const paper = await context.newPage();
  await paper.goto(server.address + "/api/days/day.mp4/page.html");
  await paper.getByText(truth.sets[0].lifter).first().waitFor();
  // Its style holds under the policy it is sent with: a page without any is set in the browser's own serif face.
  assert.doesNotMatch(await paper.evaluate(() => getComputedStyle(document.body).fontFamily), /times|^serif/i);
  const pdf = await paper.pdf({ format: "A4" });
  const text = spawnSync("pdftotext", ["-layout", "-", "-"], { input: pdf, encoding: "utf8" }).stdout;
  for (const words of truth.sets.map((set) => set.lifter)) assert.ok(text.includes(words), words);
  await paper.close();
});

test("several files and cameras are asked for as one day", async () => {
  await page.goto(server.address + "/#/add");
  await page.getByLabel("Choose clips and logs").setInputFiles({ name: "evening.mp4", mimeType: "video/mp4", buffer: Buffer.alloc(3000, 1) });
  const card = page.locator("[data-file='evening.mp4']");
  await card.getByRole("button", { name: "A whole day" }).click();
  await card.getByRole("checkbox", { name: "day.mp4" }).check();
  await card.getByLabel("Camera of day.mp4").selectOption("2");
  await card.getByLabel("Sheet of the day").selectOption("sheet.csv");
  const answered = page.waitForResponse((r) => r.url().endsWith("/api/jobs") && r.request().method() === "POST");
  await card.getByRole("button", { name: /^Measure it/ }).click();
  const answer = await answered;
  assert.equal(answer.status(), 201);
  const wanted = [{ name: "evening.mp4", camera: 1 }, { name: "day.mp4", camera: 2 }];
  assert.deepEqual(answer.request().postDataJSON().recordings, wanted);
  assert.deepEqual((await answer.json()).recordings, wanted);
  await page.locator(".job").filter({ hasText: "evening.mp4 and 1 more" }).first().waitFor();
});

test("the page's script met no error on the way", () => assert.deepEqual(page.wrong, []));
