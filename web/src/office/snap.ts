// Where a drawn point is pulled to: ends and lines of walls, lines of the drawing, the middle between
// two face lines, square to the point before. Knows plain geometry in page inches; no screen, no server.

import type { Place } from "../viewer/camera";
import type { Drawing, Plan } from "./schema";

export interface Caught {
  at: Place;
  // What it was pulled to, in words for people.
  to: string;
}
interface Line {
  a: Place;
  b: Place;
}

const CELL = 60; // inches; a few walls' lengths would do as well
const LONG = 4000; // cells a line may touch before it is looked at everywhere
// Two faces of one wall: as the reader takes them for, 2 to 16 in apart.
const THINNEST = 2;
const THICKEST = 16;
const PARALLEL = 0.02; // sine of an angle, about a degree
const SQUARE = 0.05; // sine; three degrees

const minus = (p: Place, q: Place): Place => [p[0] - q[0], p[1] - q[1]];
const along = (p: Place, d: Place, t: number): Place => [p[0] + d[0] * t, p[1] + d[1] * t];
const size = (d: Place) => Math.hypot(d[0], d[1]);
export const apart = (p: Place, q: Place): number => size(minus(p, q));

const nearestOn = ({ a, b }: Line, p: Place): Place => {
  const d = minus(b, a);
  const long = d[0] ** 2 + d[1] ** 2;
  if (long === 0) return a;
  const t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / long;
  return along(a, d, Math.min(1, Math.max(0, t)));
};

// Lines by the squares of a grid they pass through.
class Grid {
  readonly all: Line[] = [];
  private readonly cells = new Map<string, Line[]>();
  private readonly long: Line[] = [];

  add(line: Line): void {
    this.all.push(line);
    const { a, b } = line;
    const [x0, x1] = [Math.floor(Math.min(a[0], b[0]) / CELL), Math.floor(Math.max(a[0], b[0]) / CELL)];
    const [y0, y1] = [Math.floor(Math.min(a[1], b[1]) / CELL), Math.floor(Math.max(a[1], b[1]) / CELL)];
    if (!((x1 - x0 + 1) * (y1 - y0 + 1) <= LONG)) {
      this.long.push(line);
      return;
    }
    for (let x = x0; x <= x1; x++) {
      for (let y = y0; y <= y1; y++) {
        const key = `${x} ${y}`;
        const cell = this.cells.get(key);
        if (cell) cell.push(line);
        else this.cells.set(key, [line]);
      }
    }
  }

  near(p: Place, reach: number): Set<Line> {
    const found = new Set(this.long);
    const [x0, x1] = [Math.floor((p[0] - reach) / CELL), Math.floor((p[0] + reach) / CELL)];
    const [y0, y1] = [Math.floor((p[1] - reach) / CELL), Math.floor((p[1] + reach) / CELL)];
    for (let x = x0; x <= x1; x++) {
      for (let y = y0; y <= y1; y++) for (const line of this.cells.get(`${x} ${y}`) ?? []) found.add(line);
    }
    return found;
  }
}

export class Snapper {
  private readonly drawn = new Grid();
  private walls = new Grid();

  takeDrawing(drawing: Drawing): void {
    for (const { lines } of drawing.groups) {
      for (let i = 0; i + 3 < lines.length; i += 4) {
        this.drawn.add({ a: [lines[i] ?? 0, lines[i + 1] ?? 0], b: [lines[i + 2] ?? 0, lines[i + 3] ?? 0] });
      }
    }
  }

  takeWalls(plan: Plan, storey: string | null): void {
    this.walls = new Grid();
    for (const wall of plan.walls) {
      if (wall.state === "removed" || (storey !== null && wall.storey !== storey)) continue;
      this.walls.add({ a: [wall.start[0], wall.start[1]], b: [wall.end[0], wall.end[1]] });
    }
  }

  // Pulls a point to what lies within `reach` inches. `from` is the other end of the line being drawn.
  pull(p: Place, reach: number, from: Place | null): Caught | null {
    const walls = this.walls.near(p, reach);
    const end = best(p, reach, ends(walls), "end of a wall");
    if (end) return end;
    const square = from && squared(from, p);
    if (square && apart(square, p) <= reach) {
      // Square to the point before, and on a wall where one is near.
      const crossing = best(p, reach, crossings(walls, from, square), "square, on a wall");
      return crossing ?? this.drawnOn(square, reach, from) ?? { at: square, to: "square" };
    }
    return best(p, reach, points(walls, p), "middle line of a wall") ?? this.drawnOn(p, reach, null);
  }

  // The drawing's own lines: the middle of two faces before a face, an end before both.
  private drawnOn(p: Place, reach: number, from: Place | null): Caught | null {
    const lines = this.drawn.near(p, Math.max(reach, THICKEST));
    if (from) return best(p, reach, crossings(lines, from, p), "square, on a line");
    return best(p, reach, middles(lines, p), "middle of two lines") ?? best(p, reach, ends(lines), "end of a line")
      ?? best(p, reach, points(lines, p), "line");
  }

  // All ends of walls, from left to right, for those who draw by keys.
  ends(): Place[] {
    const found = [...ends(this.walls.all)];
    return found.sort((p, q) => p[0] - q[0] || p[1] - q[1]).filter((p, i) => i === 0 || apart(p, found[i - 1] ?? p) > 0.01);
  }
}

const best = (p: Place, reach: number, places: Iterable<Place>, to: string): Caught | null => {
  let found: Caught | null = null;
  let least = reach;
  for (const at of places) {
    const d = apart(p, at);
    if (d <= least) [found, least] = [{ at, to }, d];
  }
  return found;
};

function* ends(lines: Iterable<Line>): Generator<Place> {
  for (const { a, b } of lines) {
    yield a;
    yield b;
  }
}
function* points(lines: Iterable<Line>, p: Place): Generator<Place> {
  for (const line of lines) yield nearestOn(line, p);
}

// Across, up, or neither: the point made level or plumb with the one before.
const squared = (from: Place, p: Place): Place | null => {
  const d = minus(p, from);
  const long = size(d);
  if (long < 1) return null;
  if (Math.abs(d[1]) / long < SQUARE) return [p[0], from[1]];
  if (Math.abs(d[0]) / long < SQUARE) return [from[0], p[1]];
  return null;
};

// Where the line from one point through another meets lines.
function* crossings(lines: Iterable<Line>, from: Place, through: Place): Generator<Place> {
  const d = minus(through, from);
  for (const { a, b } of lines) {
    const e = minus(b, a);
    const turn = d[0] * e[1] - d[1] * e[0];
    if (Math.abs(turn) < 1e-9) continue;
    const f = minus(a, from);
    const [t, u] = [(f[0] * e[1] - f[1] * e[0]) / turn, (f[0] * d[1] - f[1] * d[0]) / turn];
    if (t > 0 && u >= -0.001 && u <= 1.001) yield along(from, d, t);
  }
}

// Halfway between a point's feet on two parallel lines, one on either side.
function* middles(lines: Set<Line>, p: Place): Generator<Place> {
  const feet = [...lines].map((line) => {
    const foot = nearestOn(line, p);
    return { foot, away: apart(foot, p), d: minus(line.b, line.a) };
  }).filter(({ away, d }) => away <= THICKEST && size(d) > THINNEST).sort((a, b) => a.away - b.away).slice(0, 12);
  for (const [i, one] of feet.entries()) {
    for (const two of feet.slice(i + 1)) {
      const gap = apart(one.foot, two.foot);
      if (gap < THINNEST || gap > THICKEST || one.away + two.away > gap * 1.05) continue;
      const turn = (one.d[0] * two.d[1] - one.d[1] * two.d[0]) / (size(one.d) * size(two.d));
      if (Math.abs(turn) < PARALLEL) yield along(one.foot, minus(two.foot, one.foot), 0.5);
    }
  }
}
