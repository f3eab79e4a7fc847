// The window on the drawing: one picture in groups, each drawn anew when what it shows has changed.
// Knows what is under a place of the screen and lights what is looked at; decides nothing.

import { Camera, type Box, type Place } from "../viewer/camera";
import { drawn, element, targetOf } from "../viewer/dom";
import { listenToGestures } from "../viewer/gestures";
import { classed } from "./controls";
import type { Finding, Plan, Wall } from "./kinds";
import * as Picture from "./picture";
import type { Work } from "./work";

export const SWITCHES = [
  ["drawn", "Linework", true], ["bodies", "Walls", true], ["junctions", "Junctions", true], ["offers", "Short ends", true],
  ["lower", "Lower plates", false], ["upper", "Upper plates", false], ["pins", "Findings", true],
] as const;

const GROUPS = [
  "regions", "drawn", "bodies", "openings", "lower", "upper", "junctions", "offers", "lit", "pins", "draft",
] as const;
type GroupName = (typeof GROUPS)[number];
const PICK = 9; // pixels; how far off a wall a click may be

export type Found = { wall: Wall } | { findings: number[] } | { offer: number } | { layer: string };

// The storey that is shown first: the one with the most walls.
export const mainStorey = (plan: Plan): string | null => {
  const counts = plan.storeys.map(({ id }) => ({ id, walls: plan.walls.filter((w) => w.storey === id).length }));
  return counts.sort((a, b) => b.walls - a.walls)[0]?.id ?? null;
};

// The storey of what a finding is about; `null` where that is no wall, run, junction or piece.
export const storeys = (plan: Plan): ((finding: Finding) => string | null) => {
  const all = new Map([...plan.walls, ...plan.runs, ...plan.junctions, ...plan.pieces].map((thing) => [thing.id, thing.storey]));
  return ({ walls, subject }) => all.get(walls[0] ?? "") ?? all.get(subject) ?? null;
};

export class Stage {
  readonly root: HTMLElement;
  readonly svg: SVGSVGElement;
  readonly camera: Camera;
  storey: string | null;
  letter = 4;
  private readonly work: Work;
  private readonly groups: Record<GroupName, SVGGElement>;
  private readonly halos: Record<"under" | "held", SVGPathElement>;
  private defs: SVGDefsElement = drawn("defs");

  constructor(work: Work) {
    this.work = work;
    this.storey = mainStorey(work.plan);
    this.svg = drawn("svg", { class: "plan", tabindex: 0, role: "application" });
    const world = drawn("g", { class: "world" });
    this.groups = Object.fromEntries(GROUPS.map((name) => [name, drawn("g", { class: name })])) as Record<GroupName, SVGGElement>;
    world.append(...GROUPS.map((name) => this.groups[name]));
    this.halos = { under: drawn("path", { class: "halo under" }), held: drawn("path", { class: "halo held" }) };
    this.groups.lit.append(this.halos.held, this.halos.under);
    this.svg.append(this.defs, world);
    this.root = element("div");
    this.root.className = "stage";
    this.root.append(this.svg);
    if (work.drawing.groups.length === 0 && work.plan.walls.length === 0) {
      this.root.append(classed("nothing", element("p", "There is nothing to draw: no lines and no walls were read.")));
    }
    for (const [key, , on] of SWITCHES) this.root.classList.toggle(`no-${key}`, !on);
    this.frame();
    this.camera = new Camera(this.svg);
    listenToGestures(this.camera);
    this.redraw();
  }

  show(key: string, on: boolean): void {
    this.root.classList.toggle(`no-${key}`, !on);
    if (on && (key === "lower" || key === "upper")) this.drawPlan();
  }

  turnTo(storey: string | null): void {
    this.storey = storey;
    this.frame();
    this.camera.frame();
    this.redraw();
  }

  redraw(): void {
    this.drawLines();
    this.drawPlan();
  }

  // Lines of the drawing, and how they were taken.
  drawLines(): void {
    const { drawing, reading } = this.work;
    this.put("drawn", Picture.linework(drawing, reading));
    this.put("regions", Picture.regions(this.storey === null ? reading.regions : [], this.letter));
  }

  // All that an edit changes.
  drawPlan(): void {
    const { plan } = this.work;
    const here = <T extends { storey: string }>(list: T[]) =>
      this.storey === null ? list : list.filter((item) => item.storey === this.storey);
    const walls = here(plan.walls);
    const ids = new Set(walls.map((w) => w.id));
    this.put("bodies", Picture.walls(walls, this.letter));
    this.put("openings", Picture.openings(walls));
    this.put("junctions", Picture.junctions(here(plan.junctions), this.letter));
    this.put("offers", Picture.offers(plan.near_misses, this.letter));
    plan.near_misses.forEach((miss, i) => {
      this.groups.offers.children[0]?.children[i]?.classList.toggle("away", !ids.has(miss.wall));
    });
    for (const layer of ["lower", "upper"] as const) {
      const wanted = !this.root.classList.contains(`no-${layer}`);
      this.put(layer, Picture.plates(wanted ? here(plan.pieces) : [], layer));
    }
    const storeyOf = storeys(plan);
    this.put("pins", Picture.pins(plan.findings, this.letter, (finding) => {
      const its = storeyOf(finding);
      return its === null || this.storey === null || its === this.storey;
    }));
  }

  private put(name: GroupName, made: SVGGElement): void {
    this.groups[name].replaceChildren(made);
  }
  draft(...shapes: SVGElement[]): void {
    this.groups.draft.replaceChildren(...shapes);
  }

  private frame(): void {
    const bounds = Picture.boundsOf(this.work.plan, this.work.drawing, this.storey);
    this.letter = Picture.letterOf(bounds);
    const { x, y, width, height } = Picture.frameOf(bounds, this.letter);
    this.svg.setAttribute("viewBox", [x, y, width, height].map((v) => Math.round(v * 100) / 100).join(" "));
    this.svg.setAttribute("font-size", String(this.letter));
    const defs = Picture.hatch(this.letter);
    this.defs.replaceWith(defs);
    this.defs = defs;
  }

  // The storey a wall or a place lies on, turned to if another is shown.
  bring(box: Box, storey: string | null): void {
    if (storey !== null && this.storey !== null && storey !== this.storey) this.turnTo(storey);
    requestAnimationFrame(() => this.camera.show(box));
  }

  // A place of the screen in inches of the page, y up.
  placeAt(clientX: number, clientY: number): Place {
    const [x, y] = this.camera.seen(clientX, clientY);
    return [x, -y];
  }

  pick(event: MouseEvent): Found | null {
    const target = targetOf(event);
    const pin = target?.closest<SVGElement>(".pin");
    if (pin) return { findings: (pin.dataset.findings ?? "").split(" ").map(Number) };
    const offer = target?.closest<SVGElement>(".offer");
    if (offer) return { offer: Number(offer.dataset.offer) };
    const wall = this.wallAt(this.placeAt(event.clientX, event.clientY));
    if (wall) return { wall };
    const line = target?.closest<SVGElement>(".drawn path");
    return line?.dataset.layer === undefined ? null : { layer: line.dataset.layer };
  }

  private wallAt([x, y]: Place): Wall | null {
    const reach = PICK * this.camera.pixel;
    let [found, least]: [Wall | null, number] = [null, Number.POSITIVE_INFINITY];
    for (const wall of this.work.plan.walls) {
      if (this.storey !== null && wall.storey !== this.storey) continue;
      const [dx, dy] = [wall.end[0] - wall.start[0], wall.end[1] - wall.start[1]];
      const long = dx * dx + dy * dy || 1;
      const t = Math.min(1, Math.max(0, ((x - wall.start[0]) * dx + (y - wall.start[1]) * dy) / long));
      const away = Math.hypot(x - wall.start[0] - dx * t, y - wall.start[1] - dy * t);
      if (away <= Math.max(reach, wall.thickness / 2) && away < least) [found, least] = [wall, away];
    }
    return found;
  }

  // The outline of walls above the picture; `under` the pointer or `held`.
  light(way: "under" | "held", walls: readonly Wall[]): void {
    const halo = this.halos[way];
    if (walls.length === 0) halo.removeAttribute("d");
    else halo.setAttribute("d", walls.map(Picture.outlineOf).join(""));
  }
  lightLayer(name: string | null): void {
    for (const path of this.groups.drawn.querySelectorAll<SVGElement>("path")) {
      path.classList.toggle("held", name !== null && path.dataset.layer === name);
    }
  }
  lightFinding(index: number | null): void {
    for (const pin of this.groups.pins.querySelectorAll<SVGElement>(".pin")) {
      pin.classList.toggle("held", index !== null && (pin.dataset.findings ?? "").split(" ").includes(String(index)));
    }
  }
}
