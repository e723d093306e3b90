// README's first picture: a set of the sample day as the page shows it. Not a test.
//   KINETICS=build/bin/kinetics KINETICS_SAMPLES=samples node tests/workbench_page/picture.mjs tools/workbench/workbench.png
import { browser, openPage, scratch, serve } from "./lib/bench.mjs";

const room = scratch();
const server = await serve(room.folder + "/logbook");
const chrome = await browser();
const page = await openPage(await chrome.newContext({ viewport: { width: 1440, height: 1130 }, deviceScaleFactor: 0.8, colorScheme: "light" }), server.address);
page.setDefaultTimeout(600_000);
await page.getByRole("button", { name: "Load the sample day" }).click();
await page.waitForFunction(() => document.querySelectorAll(".job.done").length === 3);
await page.goto(server.address + "/#/day");
await page.locator(".set-line").filter({ hasText: "box squat" }).click();
await page.locator("tr[data-rep='4'] button").click();
for (let i = 0; i < 12; i++) await page.locator(".scrub").press("ArrowRight"); // on the way up
await page.locator(`canvas[data-drawn='${await page.locator(".scrub").inputValue()}']`).waitFor();
await page.evaluate(() => document.activeElement.blur());
await page.waitForTimeout(300);
await page.screenshot({ path: process.argv[2] });
await chrome.close();
await server.kill("SIGTERM");
room.end();
