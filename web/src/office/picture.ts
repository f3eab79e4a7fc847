// The drawing of an open plan, as SVG: the drawing's own lines, the walls that were read, junctions,
// offers, plates, findings. Knows: how each of them looks (docs/visual-language.md) and where it lies.
// The page's inches have y up, a picture's have it down.

import type { Box, Place } from "../viewer/camera";
import { drawn } from "../viewer/dom";
import type { Drawing, Finding, Junction, Layer, NearMiss, Piece, Plan, Reading, Region, Wall } from "./kinds";

const n = (value: number) => Math.round(value * 100) / 100;
type At = readonly [number, number];
export const onPicture = ([x, y]: At): Place => [x, -y];

const move = ([x, y]: At) => `M${n(x)} ${n(-y)}`;
const lineTo = ([x, y]: At) => `L${n(x)} ${n(-y)}`;
const stroke = (points: readonly At[]) => points.map((p, i) => (i === 0 ? move(p) : lineTo(p))).join("");
const ring = (points: readonly At[]) => `${stroke(points)}z`;

// Below it a wall is worth a look; the reader's own limit.
export const SURE = 0.75;

export interface Bounds {
  left: number;
  bottom: number;
  right: number;
  top: number;
}
const around = (points: Iterable<At>): Bounds | null => {
  let b: Bounds | null = null;
  for (const [x, y] of points) {
    b ??= { left: x, bottom: y, right: x, top: y };
    b.left = Math.min(b.left, x);
    b.right = Math.max(b.right, x);
    b.bottom = Math.min(b.bottom, y);
    b.top = Math.max(b.top, y);
  }
  return b;
};
const ofFour = (four: readonly number[] | null): Bounds | null => {
  const [left, bottom, right, top] = four ?? [];
  return left === undefined || bottom === undefined || right === undefined || top === undefined ? null
    : { left, bottom, right, top };
};
export const boundsOfWalls = (walls: readonly Wall[]) => around(walls.flatMap((w) => [w.start, w.end]));

// As many times as large as a storey a sheet may be, and still be shown with it.
const MUCH_LARGER = 1.6;
const areaOf = (b: Bounds) => Math.max(1, b.right - b.left) * Math.max(1, b.top - b.bottom);

// What the picture shows: one storey, with the drawing around it if that is not much more; or the whole
// sheet, where `storey` is null or unknown.
export const boundsOf = (plan: Plan, drawing: Drawing, storey: string | null): Bounds => {
  const sheet = ofFour(drawing.bounds);
  const its = storey === null ? null : ofFour(plan.storeys.find((s) => s.id === storey)?.bounds ?? null);
  if (its && sheet && plan.storeys.length === 1) {
    const both = around([[its.left, its.bottom], [its.right, its.top], [sheet.left, sheet.bottom], [sheet.right, sheet.top]]);
    if (both && areaOf(both) <= MUCH_LARGER * areaOf(its)) return both;
  }
  return its ?? sheet ?? boundsOfWalls(plan.walls) ?? { left: 0, bottom: 0, right: 480, top: 360 };
};
// Whether there is more on the sheet than the picture of a storey shows.
export const hasSheet = (plan: Plan, drawing: Drawing): boolean => {
  const [sheet, shown] = [ofFour(drawing.bounds), boundsOf(plan, drawing, plan.storeys[0]?.id ?? null)];
  return sheet !== null && (plan.storeys.length > 1 || areaOf(sheet) > areaOf(shown) * 1.01);
};

// Height of a letter, as in the report: a 72nd of the sheet, within bounds for sheds and halls.
export const letterOf = (b: Bounds): number =>
  Math.min(8, Math.max(3.4, Math.max(b.right - b.left, (b.top - b.bottom) * 0.8) / 72));
export const frameOf = (b: Bounds, letter: number): Box => {
  const margin = letter * 4;
  return { x: b.left - margin, y: -b.top - margin, width: b.right - b.left + 2 * margin, height: b.top - b.bottom + 2 * margin };
};

const group = (name: string, ...children: SVGElement[]) => {
  const g = drawn("g", { class: name });
  g.append(...children);
  return g;
};
const path = (name: string, d: string, more: Record<string, string> = {}) => drawn("path", { class: name, d, ...more });

// The drawing's own lines, a path a layer; what its layer is taken for tells how they are drawn.
export const linework = (drawing: Drawing, reading: Reading): SVGGElement => {
  const uses = new Map(reading.rows.map((row) => [row.name, row.used_as]));
  return group("drawn", ...drawing.groups.map(({ layer, lines }) => {
    const name = drawing.layers[layer] ?? "";
    const use = uses.get(name) ?? "ignore";
    let d = "";
    let [lastX, lastY] = [Number.NaN, Number.NaN];
    for (let i = 0; i + 3 < lines.length; i += 4) {
      const [x1, y1, x2, y2] = [lines[i] ?? 0, lines[i + 1] ?? 0, lines[i + 2] ?? 0, lines[i + 3] ?? 0];
      d += x1 === lastX && y1 === lastY ? lineTo([x2, y2]) : move([x1, y1]) + lineTo([x2, y2]);
      [lastX, lastY] = [x2, y2];
    }
    return path(use === "ignore" ? "left" : "used", d, { "data-layer": name });
  }));
};

const unitOf = (wall: Wall): readonly [number, number, number] => {
  const [dx, dy] = [wall.end[0] - wall.start[0], wall.end[1] - wall.start[1]];
  const long = Math.hypot(dx, dy) || 1;
  return [dx / long, dy / long, long];
};
const on = (wall: Wall, station: number, offset: number): At => {
  const [dx, dy] = unitOf(wall);
  return [wall.start[0] + dx * station - dy * offset, wall.start[1] + dy * station + dx * offset];
};
export const outlineOf = (wall: Wall): string => {
  const [half, long] = [wall.thickness / 2, unitOf(wall)[2]];
  return ring([on(wall, 0, -half), on(wall, long, -half), on(wall, long, half), on(wall, 0, half)]);
};
export const middleOf = (wall: Wall): At => [(wall.start[0] + wall.end[0]) / 2, (wall.start[1] + wall.end[1]) / 2];
export const boxOf = (walls: readonly Wall[]): Box => {
  const b = boundsOfWalls(walls) ?? { left: 0, bottom: 0, right: 0, top: 0 };
  return { x: b.left, y: -b.top, width: b.right - b.left, height: b.top - b.bottom };
};

const classOf = (wall: Wall): string => {
  if (wall.state === "removed") return "body removed";
  const side = wall.exterior ? "exterior" : "interior";
  const sure = wall.confidence < SURE ? " doubtful" : "";
  return wall.state === "left-out" ? `body left-out${sure}` : `body ${side}${sure}`;
};
export const isByHand = (wall: Wall): boolean => wall.how === "drawn-in" || wall.edits.some((e) => e.list !== "layers");

// The walls: a path for all that look alike.
export const walls = (all: readonly Wall[], letter: number): SVGGElement => {
  const alike = new Map<string, string>();
  let [bearing, crossed, marks] = ["", "", ""];
  const names: SVGElement[] = [];
  for (const wall of all) {
    const kind = classOf(wall);
    alike.set(kind, (alike.get(kind) ?? "") + outlineOf(wall));
    const [, , long] = unitOf(wall);
    if (wall.state === "planned" && wall.bearing) bearing += stroke([on(wall, 0, 0), on(wall, long, 0)]);
    const [mx, my] = middleOf(wall);
    const r = letter * 0.7;
    if (wall.state === "removed") {
      crossed += stroke([[mx - r, my - r], [mx + r, my + r]]) + stroke([[mx - r, my + r], [mx + r, my - r]]);
    } else if (isByHand(wall)) {
      const q = r * 0.75;
      marks += ring([[mx - q, my], [mx, my - q], [mx + q, my], [mx, my + q]]);
    } else if (wall.confidence < SURE && wall.state === "planned") {
      const [dx, dy] = unitOf(wall);
      const up = Math.abs(dy) > Math.abs(dx);
      const aside = wall.thickness / 2 + letter * (up ? 1.6 : 0.8);
      const [x, y] = up ? [mx + aside, -my] : [mx, -my - aside];
      const text = drawn("text", { transform: `translate(${n(x)} ${n(y)})` });
      text.textContent = `${Math.round(wall.confidence * 100)} %?`;
      names.push(text);
    }
  }
  const order = [...alike].sort(([a], [b]) => a.length - b.length || (a < b ? -1 : 1));
  return group("bodies", ...order.map(([kind, d]) => path(kind, d)), path("bearing", bearing), path("crossed", crossed),
    path("by-hand", marks), group("names", ...names));
};

export const openings = (all: readonly Wall[]): SVGGElement => {
  let [jambs, gaps] = ["", ""];
  const lines: Record<string, string> = { door: "", window: "", opening: "" };
  for (const wall of all) {
    if (wall.state === "removed") continue;
    const half = wall.thickness / 2;
    for (const { kind, from, to } of wall.openings) {
      gaps += ring([on(wall, from, -half), on(wall, to, -half), on(wall, to, half), on(wall, from, half)]);
      for (const at of [from, to]) jambs += stroke([on(wall, at, -half), on(wall, at, half)]);
      const along = kind === "window" ? [-half * 0.3, half * 0.3] : [0];
      for (const offset of along) lines[kind] += stroke([on(wall, from, offset), on(wall, to, offset)]);
    }
  }
  return group("openings", path("gap", gaps), path("jambs", jambs), path("door", lines.door ?? ""), path("window", lines.window ?? ""),
    path("passage", lines.opening ?? ""));
};

// A sign for each kind of junction, two units wide about its middle; the letters say themselves.
const SIGNS: Record<Junction["kind"], readonly At[][]> = {
  L: [[[-0.4, 0.55], [-0.4, -0.5], [0.5, -0.5]]],
  T: [[[-0.55, 0.45], [0.55, 0.45]], [[0, 0.45], [0, -0.6]]],
  X: [[[-0.5, -0.5], [0.5, 0.5]], [[-0.5, 0.5], [0.5, -0.5]]],
  inline: [[[-0.6, 0], [0.6, 0]]],
  end: [[[-0.55, 0], [0.3, 0]], [[0.3, 0.5], [0.3, -0.5]]],
  other: [[[0, -0.6], [0, 0.6]], [[-0.52, -0.3], [0.52, 0.3]], [[-0.52, 0.3], [0.52, -0.3]]],
};
const round = ([x, y]: At, r: number) => `M${n(x - r)} ${n(-y)}a${n(r)} ${n(r)} 0 1 0 ${n(2 * r)} 0a${n(r)} ${n(r)} 0 1 0 ${n(-2 * r)} 0z`;
export const signOf = (kind: Junction["kind"], [x, y]: At, r: number): string =>
  SIGNS[kind].map((line) => stroke(line.map(([sx, sy]) => [x + sx * r, y + sy * r] as const))).join("");

// A junction that is nothing to look at, a straight run going on, is shown small.
export const junctions = (all: readonly Junction[], letter: number): SVGGElement => {
  let [plain, poor, signs] = ["", "", ""];
  for (const j of all) {
    const r = letter * (j.kind === "inline" ? 0.5 : 1);
    const disc = round(j.at, r);
    if (j.tie === "none" || j.near_miss) poor += disc;
    else plain += disc;
    signs += signOf(j.kind, j.at, r * 0.72);
  }
  return group("junctions", path("disc", plain), path("disc poor", poor), path("sign", signs));
};

// An end that stops short, and where it would go: an open square at the end, a dotted way, a full dot.
export const offers = (all: readonly NearMiss[], letter: number): SVGGElement =>
  group("offers", ...all.map(({ from, to }, i) => {
    const q = letter * 0.8;
    const [x, y] = from;
    const g = group("offer",
      path("reach", round([(x + to[0]) / 2, (y + to[1]) / 2], Math.max(letter * 1.6, Math.hypot(to[0] - x, to[1] - y)))),
      path("way", stroke([from, to])),
      path("short", ring([[x - q, y - q], [x + q, y - q], [x + q, y + q], [x - q, y + q]])),
      path("goal", round(to, letter * 0.3)));
    g.dataset.offer = String(i);
    return g;
  }));

export const plates = (pieces: readonly Piece[], layer: Layer): SVGGElement => {
  let d = "";
  for (const piece of pieces) if (piece.layer === layer) d += ring(piece.outline);
  const made = path("", d);
  if (layer === "upper") made.setAttribute("fill", "url(#hatch-1)");
  return group(`${layer} plates`, made);
};

// The hatch of upper plates, sized to the letters.
export const hatch = (letter: number): SVGDefsElement => {
  const defs = drawn("defs");
  const step = n(letter * 0.6);
  const pattern = drawn("pattern", {
    id: "hatch-1", patternUnits: "userSpaceOnUse", width: step, height: step, patternTransform: "rotate(35)",
  });
  pattern.append(drawn("path", { class: "hatch", d: `M0 0V${n(letter)}`, "stroke-width": n(letter * 0.15) }));
  defs.append(pattern);
  return defs;
};

// The drawings of a sheet, each with its number; those that are planned with a whole line.
export const regions = (all: readonly Region[], letter: number): SVGGElement =>
  group("regions", ...all.map((region) => {
    const off = letter * 2;
    const [left, bottom, right, top] = [region.bounds[0] - off, region.bounds[1] - off, region.bounds[2] + off, region.bounds[3] + off];
    const text = drawn("text", { transform: `translate(${n(left)} ${n(-top - letter * 1.8)})` });
    text.textContent = String(region.number);
    return group(region.planned ? "region planned" : "region",
      path("", ring([[left, bottom], [right, bottom], [right, top], [left, top]])), text);
  }));

// Pins. Findings at one place share a pin: the shape of the gravest, the number of the first, a plus.
const GRAVITY = { error: 0, warning: 1, note: 2 };
const corner = ([x, y]: At, angle: number, r: number): At =>
  [x + r * Math.cos((angle * Math.PI) / 180), y - r * Math.sin((angle * Math.PI) / 180)];
const headOf = (severity: Finding["severity"], at: At, r: number): string =>
  severity === "error" ? ring([45, 135, 225, 315].map((a) => corner(at, a, r * 1.3)))
  : severity === "warning" ? ring([-90, 30, 150].map((a) => corner(at, a, r * 1.75)))
  : ring([...Array(16).keys()].map((i) => corner(at, 22.5 * i, r)));

export const pins = (all: readonly Finding[], letter: number, isHere: (finding: Finding) => boolean): SVGGElement => {
  const places = new Map<string, { at: At; numbers: number[]; severity: Finding["severity"] }>();
  all.forEach((finding, i) => {
    if (!finding.at || !isHere(finding)) return;
    const key = finding.at.map((v) => Math.round(v)).join(" ");
    const place = places.get(key) ?? { at: finding.at, numbers: [], severity: finding.severity };
    place.numbers.push(i);
    if (GRAVITY[finding.severity] < GRAVITY[place.severity]) place.severity = finding.severity;
    places.set(key, place);
  });
  const heads = new Set<string>();
  return group("pins", ...[...places.values()].map(({ at, numbers, severity }) => {
    const head = freeHead(at, heads, letter);
    const g = group(`pin ${severity}`,
      path("lead", stroke([at, head])), path("spot", `${move(at)}h0`), path("head", headOf(severity, head, letter)));
    const words = `${(numbers[0] ?? 0) + 1}${numbers.length > 1 ? "+" : ""}`;
    const [x, y] = onPicture(head);
    const text = drawn("text", { transform: `translate(${n(x)} ${n(y)})`, class: words.length > 2 ? "long" : "" });
    text.textContent = words;
    g.append(text);
    g.dataset.findings = numbers.join(" ");
    return g;
  }));
};
// The nearest spot about a place where no other head is; `taken` has the squares heads stand in.
const freeHead = (at: At, taken: Set<string>, letter: number): At => {
  const size = letter * 2.6;
  const square = ([x, y]: At, dx: number, dy: number) => `${Math.round(x / size) + dx} ${Math.round(y / size) + dy}`;
  const isFree = (spot: At) => [-1, 0, 1].every((dx) => [-1, 0, 1].every((dy) => !taken.has(square(spot, dx, dy))));
  const spots = [3, 5, 7].flatMap((far) => [-60, -120, 60, 120, 0, 180].map((angle) => corner(at, angle, letter * far)));
  const spot = spots.find(isFree) ?? corner(at, -60, letter * 3);
  taken.add(square(spot, 0, 0));
  return spot;
};

// A look of each sign for the legend.
export const sample = (kind: "body exterior" | "body interior" | "body interior doubtful" | "body removed" | "body left-out"): SVGSVGElement => {
  const svg = drawn("svg", { class: "key wide", viewBox: "0 0 12 4", "aria-hidden": "true" });
  svg.append(group("bodies", path(kind, "M0 .6H12V3.4H0Z")));
  return svg;
};
export const signed = (...children: SVGElement[]): SVGSVGElement => {
  const svg = drawn("svg", { class: "key", viewBox: "-2 -2 4 4", "aria-hidden": "true" });
  svg.append(...children);
  return svg;
};
export const badge = (severity: Finding["severity"]): SVGSVGElement =>
  signed(group(`pin ${severity}`, path("head", headOf(severity, [0, 0], 1.05))));
