// How soon the first view stands: a fresh browser's cold load of the day, from loopback. Not a test, as it measures time.
//   node first_view.mjs ADDRESS [TIMES]
import { browser, desktop, phone } from "./lib/bench.mjs";

const [address, times = "7"] = process.argv.slice(2);
const chrome = await browser();
const median = (list) => list.sort((a, b) => a - b)[Math.floor(list.length / 2)];
for (const [device, options] of [["desk", desktop], ["phone", phone]]) {
  const painted = [];
  const filled = [];
  for (let i = 0; i < Number(times); i++) {
    const context = await chrome.newContext(options);
    const page = await context.newPage();
    await page.goto(address, { waitUntil: "commit" });
    await page.locator(".set-line .rep-bar").first().waitFor();
    filled.push(await page.evaluate(() => performance.now()));
    painted.push(await page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? NaN));
    await context.close();
  }
  console.log(`${device}: first paint ${median(painted).toFixed(0)} ms, the day's sets drawn ${median(filled).toFixed(0)} ms (medians of ${times}; worst ${Math.max(...filled).toFixed(0)} ms)`);
}
await chrome.close();
