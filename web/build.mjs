// Builds the pages' scripts and styles into the crates that take them in. `node build.mjs` writes them,
// `node build.mjs FOLDER` writes the same files under another folder, so that they can be compared.
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const into = resolve(process.argv[2] ?? join(here, ".."));

const REPORT = "crates/export/src/report";
const OFFICE = "crates/office/assets";
const BUILT = [
  ["src/report/report.ts", `${REPORT}/report.js`],
  ["style/report.css", `${REPORT}/report.css`],
  ["src/office/office.ts", `${OFFICE}/office.js`],
  ["style/office.css", `${OFFICE}/office.css`],
];
for (const [from, to] of BUILT) {
  await build({
    absWorkingDir: here,
    entryPoints: [from],
    outfile: join(into, to),
    bundle: true,
    format: "iife",
    // Whatever a browser of the last three years knows; styles are written for it and left as they are.
    target: from.endsWith(".css") ? "esnext" : "es2022",
    charset: "ascii",
    minify: true,
    lineLimit: 140, // so that two builds can be compared by eye
    legalComments: "none",
    logLevel: "warning",
  });
}
