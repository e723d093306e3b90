// A disk that is full: the page says so plainly, nothing stored is lost, and all goes on once there is room.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync, statfsSync, writeFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { bringClub, browser, clip, desktop, kLong, measure, openPage, pageRows, rosterFile, scratch, serve } from "./lib/bench.mjs";

const kDiskBytes = 96e6; // an upload leaves some of it free
const kFull = /the disk is full|the disk has not enough room/;
let chrome, room, server, page, disk, filler;
let mounted = false;

before(async () => {
  room = scratch();
  disk = room.folder + "/disk";
  mkdirSync(disk);
  mounted = spawnSync("mount", ["-t", "tmpfs", "-o", `size=${kDiskBytes}`, "tmpfs", disk]).status === 0;
  if (!mounted) return;
  filler = disk + "/filler";
  server = await serve(disk + "/logbook");
  chrome = await browser();
  page = await openPage(await chrome.newContext(desktop), server.address);
  await bringClub(page, readFileSync(rosterFile, "utf8"));
});
after(async () => {
  await chrome?.close();
  await server?.kill("SIGTERM");
  if (mounted) spawnSync("umount", [disk]);
  room?.end();
});

const maybe = (name, work) => test(name, (t) => (mounted ? work() : t.skip("only root can make a small disk here")));

function fill(leave) {
  rmSync(filler, { force: true });
  const { bavail, bsize } = statfsSync(disk);
  writeFileSync(filler, Buffer.alloc(Math.max(0, bavail * bsize - leave)));
}

let before_rows;
let set_address;

maybe("a set is measured while there is room", async () => {
  await measure(page, clip("deadlift"));
  before_rows = await pageRows(page);
  set_address = page.url();
  assert.ok(before_rows.length >= 4);
});

maybe("a correction that cannot be stored is said, and the numbers stay", async () => {
  fill(0);
  await page.locator("table.reps tbody tr").first().click();
  await page.getByRole("button", { name: "Leave it out" }).click();
  const alert = page.locator(".set-numbers [role=alert]");
  await alert.waitFor();
  assert.match(await alert.innerText(), kFull);
  assert.deepEqual(await pageRows(page), before_rows);
});

maybe("a sheet that cannot be stored is said, and what was typed stays in the page", async () => {
  await page.goto(server.address + "/#/club");
  await page.getByRole("button", { name: "As text" }).click();
  const text = page.getByLabel("The roster as text");
  const typed = (await text.inputValue()) + "\n# a remark\n";
  await text.fill(typed);
  await page.getByRole("button", { name: "Save", exact: true }).click();
  const alert = page.getByRole("alert").filter({ hasText: kFull });
  await alert.first().waitFor();
  assert.equal(await text.inputValue(), typed);
  assert.equal(readFileSync(disk + "/logbook/roster.toml", "utf8"), readFileSync(rosterFile, "utf8"));
});

maybe("an upload that finds no room is said, and goes on when there is some", async () => {
  await page.goto(server.address + "/#/add");
  await page.getByLabel("Choose clips and logs").setInputFiles(clip("box_squat"));
  const card = page.locator("[data-file='northgate_box_squat.mp4']");
  const alert = card.getByRole("alert");
  await alert.waitFor({ timeout: kLong });
  assert.match(await alert.innerText(), kFull);
  rmSync(filler);
  await card.getByRole("button", { name: "Try again" }).click();
  await card.getByText("In the logbook").waitFor({ timeout: kLong });
});

maybe("an analysis whose session finds no room has failed with words, and is made when there is some", async () => {
  const card = page.locator("[data-file='northgate_box_squat.mp4']");
  await card.getByRole("button", { name: "Not known yet" }).click();
  fill(60_000); // room for the queue's small files, not for a session's quarter of a megabyte
  await card.getByRole("button", { name: /^Measure it/ }).click();
  const failed = page.locator(".job.failed").filter({ hasText: "box_squat" });
  await failed.waitFor({ timeout: kLong });
  assert.match(await failed.locator(".trouble").innerText(), kFull);
  rmSync(filler);
  await failed.getByRole("button", { name: "Try again" }).click();
  await page.locator(".job.done").filter({ hasText: "box_squat" }).waitFor({ timeout: kLong });
});

maybe("nothing that was stored is lost", async () => {
  await server.kill("SIGKILL");
  server = await serve(disk + "/logbook", { port: server.port });
  await page.goto(set_address);
  await page.reload();
  await page.locator("table.reps").waitFor();
  assert.deepEqual(await pageRows(page), before_rows);
  assert.ok(existsSync(disk + "/logbook/recordings/northgate_deadlift.mp4"));
  assert.deepEqual(page.wrong, []);
});
