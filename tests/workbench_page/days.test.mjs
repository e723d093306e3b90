// A whole day from one recording: added with its sheet, watched through a reload and a killed server, the same as the
// command line's, and each set's lifter settled by the coach. The recording is the three sample clips one after another.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { bringClub, browser, clip, desktop, kLong, openPage, phone, rosterFile, run, scratch, serve, sheetFile } from "./lib/bench.mjs";
import { look } from "./lib/look.mjs";

let chrome, room, server, page, context, recording, sheet;

before(async () => {
  room = scratch();
  recording = room.folder + "/monday.mp4";
  const list = room.write("list.txt", ["box_squat", "bench", "deadlift"].map((n) => `file '${clip(n)}'`).join("\n"));
  const made = spawnSync("ffmpeg", ["-v", "error", "-f", "concat", "-safe", "0", "-i", list, "-c:v", "libx264", "-preset", "veryfast", "-crf", "20", "-an", recording], { encoding: "utf8" });
  assert.equal(made.status, 0, made.stderr);
  // The day's sheet names no clips: whose set is which is what the day must find out.
  const rows = readFileSync(sheetFile, "utf8").trim().split("\n");
  sheet = room.write("monday.csv", rows.map((r) => r.slice(0, r.lastIndexOf(","))).join("\n") + "\n");
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

const job = () => page.locator(".job").filter({ hasText: "monday.mp4 with monday.csv" }).first();

test("a recording of the whole day is added with a sheet from a file", async () => {
  await page.goto(server.address + "/#/add");
  await page.getByLabel("Choose clips and logs").setInputFiles(recording);
  const card = page.locator("[data-file='monday.mp4']");
  await card.getByRole("button", { name: "A whole day" }).click();
  await card.getByRole("button", { name: /^Measure it/ }).click(); // without a sheet it is not sent
  assert.equal(await page.locator(".job").count(), 0);
  await card.getByLabel("Choose a sheet's file").setInputFiles(sheet);
  await card.locator("select").first().locator("option[value='monday.csv']").waitFor({ state: "attached" });
  assert.equal(await card.locator("select").first().inputValue(), "monday.csv");
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

test("every set is found and given to its row", async () => {
  const found = page.locator("li.found[data-set]");
  await found.nth(2).waitFor();
  assert.equal(await found.count(), 3);
  const own = async (lifter) => page.locator(`section[aria-label='${lifter}'] .set-line`).innerText();
  assert.match(await own("Odalys Brandt"), /box squat[^]*92\.5 kg[^]*4 reps/);
  assert.match(await own("Imre Castellan"), /paused bench[^]*70 kg[^]*5 reps/);
  assert.match(await own("Wenna Duarte"), /deadlift[^]*150 kg[^]*5 reps/);
});

test("the filled sheet is the command line's", async () => {
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Filled sheet" }).click()]);
  const alone = room.folder + "/alone";
  run("analyse", recording, "--sheet", sheet, "--roster", rosterFile, "--logbook", alone, "--filled", room.folder + "/filled.csv");
  assert.equal(readFileSync(await download.path(), "utf8"), readFileSync(room.folder + "/filled.csv", "utf8"));
});

test("the coach's word is kept, worked in, and survives a reload", async () => {
  const bench = page.locator("section[aria-label='Imre Castellan'] li.found[data-set]");
  const set = await bench.getAttribute("data-set");
  if ((await bench.locator("details[open]").count()) === 0) await bench.locator("summary").click();
  await bench.getByLabel(/^Set \d+ is/).selectOption({ label: "nobody's: not on the sheet" });
  const extra = page.locator("section[aria-label='Sets not on the sheet'] li.found");
  await extra.getByText("extra set, your word").waitFor({ timeout: kLong });
  await page.locator("section[aria-label='Imre Castellan']").getByText("not seen").waitFor();
  assert.match(readFileSync(room.folder + "/logbook/monday.rows.txt", "utf8"), /monday\.mp4 at 0:00:\d+\.\d is nobody's/);
  await page.reload();
  await extra.getByText("extra set, your word").waitFor();
  await page.locator(`li[data-set='${set}']`).getByLabel(/^Set \d+ is/).selectOption("3");
  await page.locator("section[aria-label='Imre Castellan'] .worth.word").waitFor({ timeout: kLong });
  assert.equal(await page.locator("section[aria-label='Sets not on the sheet']").count(), 0);
});

test("a set of the day opens with its picture and leads back", async () => {
  await page.locator("section[aria-label='Wenna Duarte'] .set-line").click();
  await page.getByRole("heading", { name: "Wenna Duarte" }).waitFor();
  await page.waitForFunction(() => document.querySelector("canvas.picture")?.dataset.drawn !== undefined);
  await page.getByRole("link", { name: /^Whose set is it/ }).click();
  await page.getByRole("heading", { name: "Friday 7 March 2031" }).waitFor();
});

test("a sheet that was changed since is worked in when asked", async () => {
  await page.goto(server.address + "/#/sheet/monday.csv");
  await page.getByLabel(/^load.*, row 4$/i).fill("155");
  await page.getByRole("button", { name: "Save the sheet" }).click();
  await page.getByText("Saved. The one before is kept").waitFor();
  await page.goto(server.address + "/#/recording/monday.mp4");
  await page.getByRole("button", { name: "Work it in" }).click();
  await page.locator("section[aria-label='Wenna Duarte'] .set-line").filter({ hasText: "155 kg" }).waitFor({ timeout: kLong });
});

for (const [device, options] of [["desk", desktop], ["phone", phone]]) {
  for (const colorScheme of ["light", "dark"]) {
    test(`the day holds on a ${device}, ${colorScheme}`, async () => {
      const looking = await chrome.newContext({ ...options, colorScheme, bypassCSP: true });
      await look(looking, `recording-${device}-${colorScheme}`, server.address + "/#/recording/monday.mp4");
      await look(looking, `recording_day-${device}-${colorScheme}`, server.address + "/#/day/2031-03-07");
      await looking.close();
    });
  }
}

test("the day's page can be printed", async () => {
  const paper = await context.newPage();
  await paper.goto(server.address + "/api/days/monday.mp4/page.html");
  await paper.getByText("Odalys Brandt").first().waitFor();
  // Its style holds under the policy it is sent with.
  assert.notEqual(await paper.evaluate(() => getComputedStyle(document.body).fontFamily), "");
  const pdf = await paper.pdf({ format: "A4" });
  const text = spawnSync("pdftotext", ["-layout", "-", "-"], { input: pdf, encoding: "utf8" }).stdout;
  for (const words of ["Odalys Brandt", "Imre Castellan", "Wenna Duarte"]) assert.ok(text.includes(words), words);
  await paper.close();
});

test("the page's script met no error on the way", () => assert.deepEqual(page.wrong, []));
