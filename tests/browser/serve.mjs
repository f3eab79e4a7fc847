// `platewright serve` for the tests: on a free port of the loopback address, in a folder of its own.
import { spawn } from "node:child_process";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export const newFolder = () => mkdtempSync(join(tmpdir(), "platewright-office-"));

// Starts it; the last line it prints on standard output is its address.
export const serve = (program, folder, ...more) =>
  new Promise((resolve, reject) => {
    const child = spawn(program, ["serve", "--folder", folder, "--no-open", ...more], { stdio: ["ignore", "pipe", "pipe"] });
    let [out, err] = ["", ""];
    const ended = new Promise((done) => child.on("exit", done));
    const stop = async (signal = "SIGTERM") => {
      child.kill(signal);
      await ended;
    };
    child.stderr.on("data", (text) => (err += text));
    child.stdout.on("data", (text) => {
      out += text;
      const address = /http:\/\/\S+/.exec(out)?.[0];
      if (address) resolve({ address, port: new URL(address).port, stop, folder });
    });
    child.on("error", reject);
    child.on("exit", (code) => reject(new Error(`serve ended with ${code}: ${err}`)));
  });
