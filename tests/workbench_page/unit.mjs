// Runs the unit tests of the page's plain functions: bundled by the page's own esbuild, then node's test runner.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const page = join(here, "../../tools/workbench/page");
const { buildSync } = createRequire(join(page, "package.json"))("esbuild");
const tests = readdirSync(join(here, "unit")).map((name) => join(here, "unit", name));
const out = mkdtempSync(join(tmpdir(), "page-unit-"));
try {
  buildSync({
    entryPoints: tests,
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node18",
    jsx: "automatic",
    jsxImportSource: "preact",
    nodePaths: [join(page, "node_modules")],
    outdir: out,
    outExtension: { ".js": ".mjs" },
    logLevel: "warning",
  });
  const run = spawnSync(process.execPath, ["--test", ...tests.map((t) => join(out, t.split("/").pop().replace(/\.ts$/, ".mjs")))], { stdio: "inherit" });
  process.exitCode = run.status ?? 1;
} finally {
  rmSync(out, { recursive: true, force: true });
}
