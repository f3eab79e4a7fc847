// Makes the reports the tests look at, by running the program: node make-reports.mjs PROGRAM FOLDER
import { execFileSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { BAD_NAME, hostile, rooms, storeys } from "./drawings.mjs";

const root = resolve(fileURLToPath(import.meta.url), "../../..");
const [program, folder] = [process.argv[2], resolve(process.argv[3])];
mkdirSync(folder, { recursive: true });

const plan = (name, drawing, ...more) => {
  const args = ["plan", drawing, ...more, "-o", join(folder, name)];
  try {
    execFileSync(program, args, { stdio: ["ignore", "ignore", "pipe"] });
  } catch (e) {
    // 1: planned, with findings of severity error. The report is what is wanted here.
    if (e.status !== 1) throw new Error(`${program} ${args.join(" ")}: ${e.stderr}`);
  }
  console.log(join(folder, name, "report.html"));
};
const write = (name, text) => {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
};

const demo = join(root, "fixtures/demo");
plan("demo", join(demo, "willow-bend.dxf"), "--settings", join(demo, "demo.toml"), "--project", "Willow Bend (demo)");
// A file name is a drawing's string too.
plan("hostile", write("hostile 'img' & co.dxf", hostile()), "--project", BAD_NAME, "--lot", `<b>${"lot ".repeat(80)}</b>`);
plan("rooms", write("rooms.dxf", rooms(20, 18)));
plan("storeys", write("storeys.dxf", storeys()));
