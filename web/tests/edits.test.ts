import assert from "node:assert/strict";
import { test } from "node:test";
import { acceptSnap, addWall, asDrawn, changeWall, full, mapLayer, putBack, removeWall, same } from "../src/office/edits";
import type { Overrides, Wall, WallRef } from "../src/office/schema";

const wall = (ref: WallRef | null, added = 0): Wall => ({
  id: "wall-1", storey: "S1", start: [0, 0], end: [100, 0], thickness: 4, section: "2x4", width: 3.5, base: 0, top: 97.125, exterior: false,
  exterior_said: null, bearing: null, openings: [], source: [], how: "layer", confidence: 1, state: "planned", plan_walls: [], runs: [], ref,
  edits: ref ? [] : [{ list: "added", index: added }],
});
const ref = (entity: string): WallRef => ({ entity, start: [0, 0], end: [100, 0] });
const none: Overrides = { version: 1 };

test("a wall has one entry however often it is changed, and none when nothing is left to say", () => {
  const w = wall(ref("2F"));
  let o = changeWall(none, w, { exterior: true });
  o = changeWall(o, w, { section: "2x6" });
  assert.deepEqual(o.walls, [{ wall: ref("2F"), exterior: true, section: "2x6" }]);
  o = changeWall(o, w, { exterior: null });
  o = changeWall(o, w, { section: null });
  assert.deepEqual(o.walls, []);
  assert.ok(same(o, none));
});

test("walls are told apart by entity and place", () => {
  const other = { ...ref("2F"), end: [100, 1] as [number, number] };
  let o = changeWall(none, wall(ref("2F")), { bearing: true });
  o = changeWall(o, wall(other), { bearing: false });
  o = changeWall(o, wall(ref("30")), { bearing: false });
  assert.equal(o.walls?.length, 3);
  assert.equal(asDrawn(o, wall(other)).walls?.length, 2);
});

test("removed once, put back, and taken back with all else", () => {
  const w = wall(ref("2F"));
  let o = removeWall(removeWall(none, w), w);
  assert.equal(o.removed?.length, 1);
  assert.ok(same(putBack(o, w), none));
  o = acceptSnap(changeWall(o, w, { top: 109 }), { wall: ref("2F"), end: "end", to: [101, 0] });
  assert.ok(same(asDrawn(o, w), none));
});

test("a wall that was drawn in is its entry", () => {
  const one = { start: [0, 0] as [number, number], end: [50, 0] as [number, number], section: "2x4" };
  let o = addWall(addWall(none, one), { ...one, end: [60, 0] });
  o = changeWall(o, wall(null, 1), { section: "2x6", bearing: true });
  assert.deepEqual(o.added?.map((e) => [e.end[0], e.section, e.bearing]), [[50, "2x4", undefined], [60, "2x6", true]]);
  o = changeWall(o, wall(null, 1), { section: null });
  assert.equal(o.added?.[1]?.section, "2x6", "a drawn wall must have a section");
  assert.deepEqual(removeWall(o, wall(null, 0)).added?.map((e) => e.end[0]), [60]);
});

test("an end is snapped to one place", () => {
  let o = acceptSnap(none, { wall: ref("2F"), end: "end", to: [101, 0] });
  o = acceptSnap(o, { wall: ref("2F"), end: "end", to: [102, 0] });
  o = acceptSnap(o, { wall: ref("2F"), end: "start", to: [-1, 0] });
  assert.deepEqual(o.snaps?.map((s) => s.to[0]), [102, -1]);
});

test("a layer's own mapping wins over what was there", () => {
  const o = mapLayer({ version: 1, layers: [{ match: "A*", use: "ignore" }, { match: "A-X", use: "door" }] }, "A-X", { match: "A-X", use: "wall" });
  assert.deepEqual(full(o).layers.map((l) => [l.match, l.use]), [["A-X", "wall"], ["A*", "ignore"]]);
  assert.deepEqual(full(mapLayer(o, "A-X", null)).layers.map((l) => l.match), ["A*"]);
});
