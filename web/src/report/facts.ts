// The data block of the page. Knows: its form, and what follows from it for a piece: what it lies on,
// what is marked and nailed where, which entities of the drawing it came from. See `html/facts.rs`.

import type { Place } from "../viewer/camera";

type Layer = "bottom" | "lower" | "upper";
type RunLine = [x: number, y: number, dx: number, dy: number, half: number, storey: number];
type WallLine = [run: number, words: string, source: [entity: string, layer: string][]];
type PieceLine = [run: number, layer: Layer, from: number, to: number, marks: string, nails: string, walls: number[]];
interface Block {
  nails: string[];
  runs: RunLine[];
  walls: WallLine[];
  ties: [kind: string, pieces: number[]][];
  pieces: PieceLine[];
}

export interface PieceFact {
  id: number;
  run: number;
  layer: Layer;
  from: number;
  to: number;
  walls: number[];
  marks: () => [kind: string, at: number[]][];
  nails: () => { name: string; count: number; at: number[] }[];
}
export interface RunFact {
  storey: number;
  half: number;
  at: (station: number, offset: number) => Place;
}

let read: Block | null = null;
const all = (): Block => (read ??= JSON.parse(document.getElementById("facts")?.textContent ?? "") as Block);

// `15.25 16*2` is 15.25, 31.25, 47.25.
const stations = (text: string): number[] => {
  const out: number[] = [];
  let at = 0;
  for (const step of text.split(" ")) {
    const [by, times = "1"] = step.split("*");
    for (let i = Number(times); i > 0; i--) out.push((at += Number(by)));
  }
  return out;
};
const kinds = (text: string): [string, number[]][] =>
  text === "" ? [] : text.split("|").map((part) => {
    const colon = part.indexOf(":");
    return [part.slice(0, colon), stations(part.slice(colon + 1))];
  });

export const piece = (id: number): PieceFact | null => {
  const found = all().pieces[id - 1];
  if (!found) return null;
  const [run, layer, from, to, marks, nails, walls] = found;
  return {
    id, run, layer, from, to, walls,
    marks: () => kinds(marks),
    nails: () => kinds(nails).map(([key, at]) => {
      const [name = 0, count = 0] = key.split("x").map(Number);
      return { name: all().nails[name] ?? "", count, at };
    }),
  };
};

// Pieces of the same run in another layer that lie over or under a stretch of it, and those it is
// tied to. `below` is whether they are looked for under the piece.
export const touching = (me: PieceFact, below: boolean): number[] => {
  const layer = below ? "lower" : "upper";
  const ids = new Set<number>();
  all().pieces.forEach(([run, itsLayer, from, to], i) => {
    if (run === me.run && itsLayer === layer && from < me.to - 0.01 && to > me.from + 0.01) ids.add(i + 1);
  });
  for (const [kind, [over, ...under]] of all().ties) {
    if (over === undefined || (kind !== "lap" && kind !== "notch")) continue;
    if (below && over === me.id) under.forEach((u) => ids.add(u));
    if (!below && under.includes(me.id)) ids.add(over);
  }
  return [...ids].sort((a, b) => a - b);
};

export const run = (number: number): RunFact | null => {
  const found = all().runs[number - 1];
  if (!found) return null;
  const [x, y, dx, dy, half, storey] = found;
  return { storey, half, at: (station, offset) => [x + dx * station + dy * offset, y + dy * station - dx * offset] };
};
export const wall = (number: number): { run: number; words: string; source: [string, string][] } | null => {
  const found = all().walls[number - 1];
  if (!found) return null;
  const [itsRun, words, source] = found;
  return { run: itsRun, words, source };
};
export const pieceIds = (): number[] => all().pieces.map((_, i) => i + 1);
