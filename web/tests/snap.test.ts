import assert from "node:assert/strict";
import { test } from "node:test";
import type { Place } from "../src/viewer/camera";
import type { Drawing, Plan } from "../src/office/schema";
import { Snapper } from "../src/office/snap";

const snapper = (walls: [Place, Place][], lines: number[] = []): Snapper => {
  const made = new Snapper();
  made.takeDrawing({ groups: [{ layer: 0, lines }] } as unknown as Drawing);
  made.takeWalls({ walls: walls.map(([start, end]) => ({ start, end, storey: "S1", state: "planned" })) } as unknown as Plan, "S1");
  return made;
};
const near = (caught: { at: Place } | null, [x, y]: Place, words = "") => {
  assert.ok(caught, words);
  assert.ok(Math.hypot(caught.at[0] - x, caught.at[1] - y) < 1e-6, `${words} ${caught.at}`);
};

test("an end of a wall pulls before its line, and nothing pulls from afar", () => {
  const s = snapper([[[0, 0], [120, 0]]]);
  near(s.pull([3, 2], 6, null), [0, 0], "end");
  near(s.pull([60, 4], 6, null), [60, 0], "line");
  assert.equal(s.pull([60, 9], 6, null), null);
});

test("the middle between two face lines", () => {
  const s = snapper([], [0, 0, 200, 0, 0, 4.5, 200, 4.5]);
  const caught = s.pull([90, 1], 6, null);
  near(caught, [90, 2.25]);
  assert.equal(caught?.to, "middle of two lines");
  // Lines that are too far apart, or not parallel, are no faces of a wall.
  assert.notEqual(snapper([], [0, 0, 200, 0, 0, 40, 200, 40]).pull([90, 1], 6, null)?.to, "middle of two lines");
  assert.notEqual(snapper([], [0, 0, 200, 0, 0, 2, 200, 90]).pull([10, 3], 6, null)?.to, "middle of two lines");
});

test("square to the point before, up to the wall that is crossed", () => {
  const s = snapper([[[0, 100], [300, 100]]]);
  near(s.pull([51, 60], 6, [50, 0]), [50, 60], "plumb");
  near(s.pull([51, 98], 6, [50, 0]), [50, 100], "plumb, on the wall");
  near(s.pull([20, 1], 6, [-50, 0]), [20, 0], "level");
});

test("what is removed or on another storey does not pull", () => {
  const s = new Snapper();
  s.takeWalls({ walls: [
    { start: [0, 0], end: [9, 0], storey: "S2", state: "planned" }, { start: [0, 0], end: [9, 0], storey: "S1", state: "removed" },
  ] } as unknown as Plan, "S1");
  assert.equal(s.pull([1, 0], 6, null), null);
  assert.deepEqual(s.ends(), []);
});

test("a line across a whole county is found as well", () => {
  near(snapper([], [-1e6, -1e6, 1e6, 1e6]).pull([5000, 5001], 6, null), [5000.5, 5000.5]);
});
