// README's first picture: a set of the sample day as the page shows it. Not a test.
//   node picture.mjs ADDRESS FILE.png        ADDRESS of a workbench that holds the sample day
import { browser } from "./lib/bench.mjs";

const [address, file] = process.argv.slice(2);
const { sessions } = await (await fetch(address + "/api/sessions")).json();
const set = sessions.find((s) => s.lift === "box squat");
const chrome = await browser();
const page = await chrome.newPage({ viewport: { width: 1440, height: 1130 }, colorScheme: "light" });
await page.goto(`${address}/#/set/${encodeURIComponent(set.id)}?rep=1.4`);
await page.locator("canvas[data-drawn]").waitFor();
const scrub = page.locator(".scrub");
for (let i = 0; i < 12; i++) await scrub.press("ArrowRight"); // on the way up
const at = await scrub.inputValue();
await page.locator(`canvas[data-drawn='${at}']`).waitFor();
await page.evaluate(() => document.activeElement.blur());
await page.screenshot({ path: file });
await chrome.close();
