import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { createRequire } from "node:module";
import { openPage, quiet } from "./bench.mjs";

const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");
const shots = process.env.KINETICS_SHOTS ?? "page-shots";
mkdirSync(shots, { recursive: true });

/** Opens the address, leaves a picture of it, and holds it to what every page must hold. */
export async function look(context, name, address) {
  const page = await openPage(context, "about:blank");
  await page.addInitScript(() => {
    // Layout shifts as the browser scores them; those within half a second of a key or touch do not count.
    window.shift = 0;
    new PerformanceObserver((list) => {
      for (const e of list.getEntries()) if (!e.hadRecentInput) window.shift += e.value;
    }).observe({ type: "layout-shift", buffered: true });
  });
  await page.goto(address);
  await page.locator("main h1").waitFor();
  await hold(page, name);
  const shift = await page.evaluate(() => window.shift);
  assert.ok(shift <= 0.1, `${name}: layout shift ${shift}; up to 0.1 is good (Web Vitals, from memory)`);
  assert.deepEqual(page.wrong, []);
  await page.close();
}

/** The same of an open page as it stands, but for what jumped on the way. */
export async function hold(page, name) {
  await quiet(page);
  await page.screenshot({ path: `${shots}/${name}.png`, fullPage: true });
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(over <= 0, `${name}: ${over} px wider than the screen`);
  await page.addScriptTag({ path: axe });
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  const bad = found.violations.filter((v) => v.impact === "serious" || v.impact === "critical").map((v) => `${name}: ${v.id}: ${v.help}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 4).join(", ")}`);
  assert.deepEqual(bad, []);
}
