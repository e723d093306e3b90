// What goes wrong in a gym: a reload, a crash, a file that is none, a code that is wrong. Nothing stored is lost, and
// every trouble is said in words with its mend.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { browser, clip, desktop, kLong, longClip, openPage, scratch, serve } from "./lib/bench.mjs";

let chrome, room, server, page, context;

before(async () => {
  room = scratch();
  server = await serve(room.folder + "/logbook");
  chrome = await browser();
  context = await chrome.newContext(desktop);
  page = await openPage(context, server.address);
});
after(async () => {
  await chrome?.close();
  await server?.kill("SIGTERM");
  room?.end();
});

async function add(file) {
  await page.goto(server.address + "/#/add");
  await page.getByLabel("Choose clips and logs").setInputFiles(file);
  const name = file.split("/").pop();
  const card = page.locator(`[data-file='${name}']`);
  await card.waitFor();
  return card;
}

test("a file that is neither clip nor log is refused", async () => {
  const card = await add(room.write("notes.exe", "MZ"));
  await card.getByRole("alert").waitFor();
  await card.getByRole("button", { name: "Take off the list" }).click();
});

test("a clip that is noise ends with words that say so", async () => {
  const card = await add(room.write("noise.mp4", Buffer.alloc(20000, "not a clip ")));
  await card.getByRole("button", { name: "Not known yet" }).click();
  await card.getByRole("button", { name: /^Measure it/ }).click();
  const job = page.locator(".job.failed").filter({ hasText: "noise.mp4" });
  await job.waitFor({ timeout: kLong });
  assert.match(await job.locator(".trouble").innerText(), /noise\.mp4: .+\. .+\./);
  await job.getByRole("button", { name: /off the list/ }).click();
  await job.waitFor({ state: "detached" });
});

test("a reload in the middle of a job finds it still running", async () => {
  const card = await add(clip("bench"));
  await card.getByRole("button", { name: "Not known yet" }).click();
  await card.getByRole("button", { name: /^Measure it/ }).click();
  await page.locator(".job").filter({ hasText: "northgate_bench.mp4" }).waitFor();
  await page.reload();
  await page.locator(".job").filter({ hasText: "northgate_bench.mp4" }).waitFor();
  await page.getByRole("link", { name: "Open the set" }).click({ timeout: kLong });
  await page.locator("table.reps").waitFor();
});

test("a job that is stopped can be tried again", async () => {
  const card = await add(longClip(room, "box_squat"));
  await card.getByRole("button", { name: "Not known yet" }).click();
  await card.getByRole("button", { name: /^Measure it/ }).click();
  const job = page.locator(".job").filter({ hasText: "long_box_squat.mp4" });
  await job.getByRole("button", { name: "Stop", exact: true }).click();
  await job.getByRole("button", { name: "Try again" }).click();
  await page.locator(".job.done").filter({ hasText: "long_box_squat.mp4" }).first().waitFor({ timeout: kLong });
});

/** The day's foot comes with its last set. */
const whole = () => page.locator("main .fine").waitFor();
const sessions = () => readdirSync(room.folder + "/logbook").filter((name) => name.endsWith(".h5"));

test("a killed server is said to be away, and all is there when it is back", async () => {
  await page.goto(server.address + "/#/day");
  await whole();
  const sets = await page.locator(".set-line").count();
  assert.ok(sets > 0);
  await server.kill("SIGKILL");
  await page.locator(".offline:not([hidden])").waitFor();
  server = await serve(room.folder + "/logbook", { port: server.port });
  await page.locator(".offline").waitFor({ state: "hidden" });
  assert.equal(await page.locator(".set-line").count(), sets);
  await page.reload();
  await whole();
  assert.equal(await page.locator(".set-line").count(), sets);
});

test("a server killed in the middle of an analysis begins it anew", async () => {
  const card = await add(longClip(room, "deadlift"));
  await card.getByRole("button", { name: "Not known yet" }).click();
  await card.getByRole("button", { name: /^Measure it/ }).click();
  await page.locator(".job.running").filter({ hasText: "long_deadlift.mp4" }).waitFor();
  await server.kill("SIGKILL");
  const before = sessions();
  assert.ok(!before.some((name) => name.includes("long_deadlift")));
  await page.locator(".offline:not([hidden])").waitFor();
  server = await serve(room.folder + "/logbook", { port: server.port });
  await page.locator(".job.done").filter({ hasText: "long_deadlift.mp4" }).waitFor({ timeout: kLong });
  assert.equal(sessions().length, before.length + 1);
});

test("an upload goes on after the server was away", async () => {
  // The second piece is held back until the server is gone: so there is a middle to be killed in.
  let pieces = 0;
  let letGo;
  const gone = new Promise((resolve) => (letGo = resolve));
  await page.route("**/api/uploads/*", async (route) => {
    if (++pieces === 2) await gone;
    await route.continue();
  });
  const big = room.write("long.csv", "t,ax,ay,az\n" + Array.from({ length: 400_000 }, (_, i) => `${(i / 100).toFixed(2)},0,0,9.81`).join("\n") + "\n");
  const card = await add(big);
  await page.waitForFunction(() => (document.querySelector("[data-file='long.csv'] progress")?.value ?? 0) > 0);
  await server.kill("SIGKILL");
  letGo();
  server = await serve(room.folder + "/logbook", { port: server.port });
  await card.getByText("In the logbook").waitFor({ timeout: kLong });
  await page.unroute("**/api/uploads/*");
  const stored = readFileSync(room.folder + "/logbook/recordings/long.csv", { encoding: "utf8" });
  assert.equal(stored, readFileSync(big, "utf8"));
});

test("a device that is not paired is asked for the code, and a wrong one is refused", async () => {
  const away = await serve(room.folder + "/logbook-lan", { options: ["--lan"] });
  try {
    const device = await chrome.newContext(desktop);
    const tab = await device.newPage();
    // Only other machines need the code; this one is made to look like one until it has paired.
    let paired = false;
    await tab.route("**/api/state", (route) =>
      paired ? route.continue() : route.fulfill({ status: 401, contentType: "application/json", body: JSON.stringify({ error: { code: "unpaired", where: "", what: "this device is not paired", mend: "Type the code" } }) }),
    );
    await tab.goto(away.address);
    const { code } = await (await fetch(away.address + "/api/pairing")).json();
    await tab.getByLabel("Code").fill(code === "000000" ? "111111" : "000000");
    await tab.getByRole("button", { name: "Pair" }).click();
    await tab.getByText("That is not the code").waitFor();
    paired = true;
    await tab.getByLabel("Code").fill(code);
    await tab.getByRole("button", { name: "Pair" }).click();
    await tab.getByRole("heading", { name: "Nothing in the logbook yet" }).waitFor();
    await device.close();
  } finally {
    await away.kill("SIGTERM");
  }
});

test("the page's script met no error on the way", () => assert.deepEqual(page.wrong, []));
