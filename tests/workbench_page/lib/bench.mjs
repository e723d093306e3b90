// A workbench of its own for each test: a fresh logbook, the real server, a real browser.
import { spawn, spawnSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

export const kinetics = process.env.KINETICS;
export const samples = process.env.KINETICS_SAMPLES;
if (!kinetics || !samples) throw new Error("KINETICS and KINETICS_SAMPLES say which program to drive with which samples; ctest sets them");

/** Plenty for an analysis, and for what a page does at once, on a machine that does much else; nothing is asserted about time. */
export const kLong = 600_000;
const kSoon = 120_000;
/** KINETICS_SLOW=6 makes every page's script six times slower than this machine is. */
const kSlow = Number(process.env.KINETICS_SLOW ?? 1);

export const clip = (name) => join(samples, "clips", `northgate_${name}.mp4`);
export const rosterFile = join(samples, "club", "northgate.toml");
export const sheetFile = join(samples, "club", "speed_day.csv");

export function scratch() {
  const folder = mkdtempSync(join(tmpdir(), "workbench-page-"));
  return { folder, write: (name, bytes) => (writeFileSync(join(folder, name), bytes), join(folder, name)), end: () => rmSync(folder, { recursive: true, force: true }) };
}

/** A clip several times over, for what has to be done while it is being measured. */
export function longClip(room, name) {
  const file = join(room.folder, `long_${name}.mp4`);
  const made = spawnSync("ffmpeg", ["-nostdin", "-v", "error", "-stream_loop", "3", "-i", clip(name), "-c", "copy", file], { encoding: "utf8" });
  if (made.status !== 0) throw new Error(`ffmpeg: ${made.stderr}`);
  return file;
}

/** A logbook of the invented season with its roster and plan, made by the command line. */
export function seasonLogbook(folder) {
  mkdirSync(folder);
  for (const name of ["roster.toml", "plan.toml"]) copyFileSync(join(samples, "season", name), join(folder, name));
  run("logbook", "import", join(samples, "season", "northgate_season.csv"), "--logbook", folder);
  return folder;
}

/** Below the ports that systems lend out (32768 and up), so that nobody has taken it when a killed server comes back. */
const somePort = () => 20_000 + Math.floor(12_000 * Math.random());

/** Starts `kinetics serve` and waits for the address it prints. */
export async function serve(logbook, { port, options = [] } = {}) {
  for (let tries = 0; ; tries++) {
    try {
      return await start(logbook, port ?? somePort(), options);
    } catch (cause) {
      if (port !== undefined || tries === 9 || !/another program uses it/.test(cause.message)) throw cause;
    }
  }
}

async function start(logbook, port, options) {
  const child = spawn(kinetics, ["serve", "--logbook", logbook, "--port", String(port), ...options], { stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  const address = await new Promise((resolve, reject) => {
    const hear = (bytes) => {
      said += bytes;
      const found = /(http:\/\/127\.0\.0\.1:\d+)\s/.exec(said); // whole, as it may come in pieces
      if (found) resolve(found[1]);
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
  page.setDefaultTimeout(kSoon);
  if (kSlow !== 1) await (await context.newCDPSession(page)).send("Emulation.setCPUThrottlingRate", { rate: kSlow });
  page.wrong = [];
  page.on("pageerror", (e) => page.wrong.push(String(e)));
  page.going = new Set();
  page.requests = 0;
  page.on("request", (r) => {
    if (r.url().endsWith("/api/events")) return; // never ends
    page.going.add(r);
    page.requests++;
  });
  for (const ended of ["requestfinished", "requestfailed"]) page.on(ended, (r) => page.going.delete(r));
  await page.goto(address);
  return page;
}

/** Notes whether something is shown from now on, be it for a moment only: the page looks itself. Gives the question for later. */
export async function noting(page, selector) {
  await page.evaluate((wanted) => {
    const noted = (window.noted ??= new Set());
    noted.delete(wanted);
    const look = () => document.querySelector(wanted) && noted.add(wanted);
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, attributes: true });
    look();
  }, selector);
  return () => page.evaluate((wanted) => window.noted.has(wanted), selector);
}

/** Waits until the page has fetched what it shows and drawn it: nothing is on its way, nor asked for when the page next has time. */
export async function quiet(page) {
  const asked = () => page.going.size === 0 && page.requests;
  const latest = Date.now() + kSoon;
  for (let before = -1; ; ) {
    if (Date.now() > latest) throw new Error(`the page still waits for ${[...page.going].map((r) => r.url()).join(", ") || "something new each time"}`);
    const now = asked();
    if (now !== false && now === before) return;
    before = now === false ? -1 : now;
    // Two frames after an idle moment: by then effects have run, and their requests have been told of.
    await page.evaluate(() => new Promise((done) => requestIdleCallback(() => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done))), { timeout: 2000 })));
  }
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

/** The same of the page's table, all at one moment. */
export async function pageRows(page) {
  return page.locator("table.reps tbody tr").evaluateAll((rows) =>
    rows.map((row) => {
      const text = (cell) => row.querySelector(cell).innerText.replace(/\s+/g, " ").trim();
      return { rep: text("th"), start: text("td.start"), mean: text("td.mean"), peak: text("td.peak"), rom: text("td.rom"), loss: text("td.loss") };
    }),
  );
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
