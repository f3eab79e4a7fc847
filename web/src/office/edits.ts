// What an edit makes of the overrides. Pure: overrides in, overrides out; the server plans them. Walls
// are pointed at by their `ref`, which stays the same whatever is edited; a wall that was drawn in is
// pointed at by its place in the list.

import type { AddedEdit, LayerEdit, Overrides, SnapEdit, Wall, WallRef } from "./schema";

type Full = Required<Overrides>;
export const full = (o: Overrides): Full => ({
  version: 1,
  units: o.units ?? null,
  mirror: o.mirror ?? null,
  region: o.region ?? [],
  layers: o.layers ?? [],
  walls: o.walls ?? [],
  removed: o.removed ?? [],
  added: o.added ?? [],
  snaps: o.snaps ?? [],
});

const samePlace = (a: readonly number[], b: readonly number[]) => a[0] === b[0] && a[1] === b[1];
export const sameRef = (a: WallRef, b: WallRef): boolean =>
  a.entity === b.entity && samePlace(a.start, b.start) && samePlace(a.end, b.end);

// What can be said of a wall. `null`: as the drawing has it; left out: as it is.
export interface WallChange {
  section?: string | null;
  exterior?: boolean | null;
  bearing?: boolean | null;
  top?: number | null;
}

const addedAt = (wall: Wall): number => wall.edits.find((e) => e.list === "added")?.index ?? -1;
const isEmpty = (e: WallChange) => [e.section, e.exterior, e.bearing, e.top].every((v) => v === null || v === undefined);

export const changeWall = (o: Overrides, wall: Wall, change: WallChange): Overrides => {
  const all = full(o);
  const { ref } = wall;
  if (ref === null) {
    const index = addedAt(wall);
    const { section, ...rest } = change;
    const changed = (e: AddedEdit): AddedEdit => ({ ...e, ...rest, ...(section ? { section } : {}) });
    return { ...all, added: all.added.map((e, i) => (i === index ? changed(e) : e)) };
  }
  const old = all.walls.find((e) => sameRef(e.wall, ref));
  const entry = { ...old, ...change, wall: ref };
  const others = all.walls.filter((e) => e !== old);
  return { ...all, walls: isEmpty(entry) ? others : [...others, entry] };
};

export const removeWall = (o: Overrides, wall: Wall): Overrides => {
  const all = full(o);
  const { ref } = wall;
  if (ref === null) {
    const index = addedAt(wall);
    return { ...all, added: all.added.filter((_, i) => i !== index) };
  }
  if (all.removed.some((e) => sameRef(e.wall, ref))) return all;
  return { ...all, removed: [...all.removed, { wall: ref }] };
};

// All edits of a wall undone, its removal too.
export const asDrawn = (o: Overrides, wall: Wall): Overrides => {
  const all = full(o);
  const { ref } = wall;
  if (ref === null) return all;
  const others = <E extends { wall: WallRef }>(list: E[]) => list.filter((e) => !sameRef(e.wall, ref));
  return { ...all, walls: others(all.walls), removed: others(all.removed), snaps: others(all.snaps) };
};

export const putBack = (o: Overrides, wall: Wall): Overrides => {
  const all = full(o);
  const { ref } = wall;
  return ref === null ? all : { ...all, removed: all.removed.filter((e) => !sameRef(e.wall, ref)) };
};

export const addWall = (o: Overrides, wall: AddedEdit): Overrides => {
  const all = full(o);
  return { ...all, added: [...all.added, wall] };
};

export const acceptSnap = (o: Overrides, snap: SnapEdit): Overrides => {
  const all = full(o);
  const others = all.snaps.filter((e) => !(sameRef(e.wall, snap.wall) && e.end === snap.end));
  return { ...all, snaps: [...others, snap] };
};

// The mapping of a layer; first so that it wins. `null` takes it away again.
export const mapLayer = (o: Overrides, name: string, edit: LayerEdit | null): Overrides => {
  const all = full(o);
  const others = all.layers.filter((e) => e.match !== name);
  return { ...all, layers: edit ? [edit, ...others] : others };
};

export const same = (a: Overrides, b: Overrides): boolean => JSON.stringify(full(a)) === JSON.stringify(full(b));
