// Runs the tests of the pages' plain functions: node test.mjs. They are TypeScript, so they are built first.
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { spawnSync } from "node:child_process";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const tests = join(dirname(fileURLToPath(import.meta.url)), "tests");
const into = mkdtempSync(join(tmpdir(), "platewright-web-"));
try {
  await build({
    entryPoints: readdirSync(tests).filter((f) => f.endsWith(".test.ts")).map((f) => join(tests, f)),
    outdir: into, outExtension: { ".js": ".mjs" }, bundle: true, format: "esm", platform: "node", target: "node20", logLevel: "warning",
  });
  process.exitCode = spawnSync(process.execPath, ["--test", ...readdirSync(into).map((f) => join(into, f))], { stdio: "inherit" }).status ?? 1;
} finally {
  rmSync(into, { recursive: true, force: true });
}
