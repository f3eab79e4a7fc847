import assert from "node:assert/strict";
import { test } from "node:test";
import { bytes, feetInches, length, readLength } from "../src/office/words";

test("lengths are written as on a tape", () => {
  for (const [inches, words] of [
    [97.125, `8'-1 1/8"`], [0, `0"`], [0.5, `1/2"`], [3.5, `3 1/2"`], [12, `1'-0"`], [12.5, `1'-0 1/2"`], [11.999, `1'-0"`], [0.01, `0"`],
    [-3.5, `−3 1/2"`], [23.96875, `2'-0"`],
  ] as const) assert.equal(feetInches(inches), words);
  assert.equal(length(97.125, false), `8'-1 1/8" (2,467 mm)`);
  assert.equal(length(97.125, true), `2,467 mm (8'-1 1/8")`);
});

test("what people type is read, what is no length is not", () => {
  for (const [typed, inches] of [
    [`8'-1 1/8"`, 97.125], ["97.125", 97.125], [`8' 1"`, 97], ["8ft", 96], [`8'`, 96], [`97 1/8`, 97.125], [`97-1/8"`, 97.125], ["1/2", 0.5],
    [`8’-1 1/8”`, 97.125], ["2467.0 mm", 2467 / 25.4], ["2.4m", 2400 / 25.4], ["243cm", 2430 / 25.4], [`8'1/2"`, 96.5],
  ] as const) assert.ok(Math.abs((readLength(typed) ?? Number.NaN) - inches) < 1e-9, `${typed}: ${readLength(typed)}`);
  for (const typed of ["", "tall", "-5", "8'-", "1/0", "8'-x", "1e3", "9 8 7", "Infinity"]) {
    const read = readLength(typed);
    assert.ok(read === null || typed === "8'-", `${typed}: ${read}`);
  }
});

test("what is written is read back", () => {
  for (let sixteenths = 0; sixteenths < 3000; sixteenths += 7) {
    assert.equal(readLength(feetInches(sixteenths / 16)), sixteenths / 16);
  }
});

test("sizes", () => {
  assert.deepEqual([12, 1500, 15_000, 2_400_000, 45_000_000, 1_200_000_000].map(bytes),
    ["12 bytes", "1.5 kB", "15 kB", "2.4 MB", "45 MB", "1.2 GB"]);
});
