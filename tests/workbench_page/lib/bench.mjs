// A workbench of its own for each test: a fresh logbook, the real server, a real browser.
import { spawn, spawnSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

export const kinetics = process.env.KINETICS;
export const samples = process.env.KINETICS_SAMPLES;
if (!kinetics || !samples) throw new Error("KINETICS and KINETICS_SAMPLES say which program to drive with which samples; ctest sets them");

/** Plenty for an analysis on a machine that does much else; nothing is asserted about time. */
export const kLong = 180_000;

export const clip = (name) => join(samples, "clips", `northgate_${name}.mp4`);
export const rosterFile = join(samples, "club", "northgate.toml");
export const sheetFile = join(samples, "club", "speed_day.csv");

export function scratch() {
  const folder = mkdtempSync(join(tmpdir(), "workbench-page-"));
  return { folder, write: (name, bytes) => (writeFileSync(join(folder, name), bytes), join(folder, name)), end: () => rmSync(folder, { recursive: true, force: true }) };
}

/** A logbook of the invented season with its roster and plan, made by the command line. */
export function seasonLogbook(folder) {
  mkdirSync(folder);
  for (const name of ["roster.toml", "plan.toml"]) copyFileSync(join(samples, "season", name), join(folder, name));
  run("logbook", "import", join(samples, "season", "northgate_season.csv"), "--logbook", folder);
  return folder;
}

/** Starts `kinetics serve` and waits for the address it prints. */
export async function serve(logbook, { port = 0, options = [] } = {}) {
  const child = spawn(kinetics, ["serve", "--logbook", logbook, "--port", String(port), ...options], { stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  const address = await new Promise((resolve, reject) => {
    const hear = (bytes) => {
      said += bytes;
      const found = /http:\/\/127\.0\.0\.1:(\d+)/.exec(said);
      if (found) resolve(found[0]);
    };
    child.stdout.on("data", hear);
    child.stderr.on("data", hear);
    child.on("exit", (code) => reject(new Error(`kinetics serve ended (${code}) and said: ${said}`)));
  });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  return {
    address,
    port: Number(address.split(":").pop()),
    said: () => said,
    kill: async (signal = "SIGKILL") => {
      child.kill(signal);
      await ended;
    },
  };
}

export async function browser() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
}

export const desktop = { viewport: { width: 1440, height: 900 } };
export const phone = { viewport: { width: 360, height: 740 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 };

/** A page that fails the test when its script does. */
export async function openPage(context, address) {
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  page.wrong = [];
  page.on("pageerror", (e) => page.wrong.push(String(e)));
  await page.goto(address);
  return page;
}

/** Runs the command line; gives what it printed. */
export function run(...args) {
  const done = spawnSync(kinetics, args, { encoding: "utf8", maxBuffer: 64e6 });
  if (done.status !== 0) throw new Error(`kinetics ${args.join(" ")} ended with ${done.status}: ${done.stderr}`);
  return done.stdout;
}

/** The rows of the command line's set table: start, mean, peak, range, loss, as printed. */
export function tableRows(printed) {
  const number = String.raw`(\d+\.\d+ ± \d+\.\d+|not measured)`;
  const row = new RegExp(String.raw`^\s*(?:\d+\s+)?(\d+)\s+(\d+\.\d+)\s+${number}\s+${number}\s+${number}\s+(\d+|-)`, "gm");
  return [...printed.matchAll(row)].map(([, rep, start, mean, peak, rom, loss]) => ({ rep, start, mean, peak, rom, loss }));
}

/** The same of the page's table. */
export async function pageRows(page) {
  const text = (row, name) => row.locator(`td.${name}`).innerText().then((t) => t.replace(/\s+/g, " ").trim());
  const rows = [];
  for (const row of await page.locator("table.reps tbody tr").all()) {
    rows.push({
      rep: (await row.locator("th").innerText()).trim(),
      start: await text(row, "start"),
      mean: await text(row, "mean"),
      peak: await text(row, "peak"),
      rom: await text(row, "rom"),
      loss: await text(row, "loss"),
    });
  }
  return rows;
}

/** Puts the club's roster and the day's sheet into the logbook by way of the page. */
export async function bringClub(page, roster, sheet) {
  await page.goto(page.url().split("#")[0] + "#/club");
  await page.getByRole("button", { name: "As text" }).click();
  await page.getByLabel("The roster as text").fill(roster);
  await page.getByRole("button", { name: "Save", exact: true }).click();
  await page.getByText("Saved. The one before is kept").waitFor();
  if (!sheet) return;
  await page.evaluate(
    async ([name, text]) => {
      const answer = await fetch(`/api/sheets/${name}`, { method: "PUT", headers: { "X-Kinetics": "1", "Content-Type": "application/json" }, body: JSON.stringify({ text, revision: null }) });
      if (!answer.ok) throw new Error(await answer.text());
    },
    ["speed_day.csv", sheet],
  );
}

/** Adds a clip by the page and waits until it is measured; ends on the set's page. */
export async function measure(page, file, how = "none") {
  await page.goto(page.url().split("#")[0] + "#/add");
  await page.getByLabel("Choose clips and logs").setInputFiles(file);
  const card = page.locator("[data-file]").first();
  await card.waitFor();
  if (how === "none") await card.getByRole("button", { name: "Not known yet" }).click();
  else await card.locator("input[type=radio]:checked").waitFor();
  await card.getByRole("button", { name: /^Measure it/ }).click();
  await page.getByRole("link", { name: "Open the set" }).first().click({ timeout: kLong });
  await page.locator("table.reps").waitFor();
}
