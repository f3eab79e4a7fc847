// The walls: what is known of the chosen ones and how to change them, ends that stop short, and a list
// to find walls worth a look. Every change is an edit of the overrides.

import { element, isolated, plural } from "../viewer/dom";
import { button, choice, classed, fact, type Choice } from "./controls";
import { acceptSnap, asDrawn, changeWall, putBack, removeWall, type WallChange } from "./edits";
import type { NearMiss, Wall } from "./kinds";
import { focusKey, keyOfFocus } from "./focus";
import { isByHand, SURE } from "./picture";
import { properties } from "./properties";
import { length, percent } from "./words";
import type { Work } from "./work";

const SHOWN = 150; // rows of a list; a floor of a thousand walls has its picture

const HOW: Record<Wall["how"], string> = {
  layer: "by the name or the mapping of its layer", shape: "by its shape", class: "by its class in the file", "drawn-in": "drawn in by hand",
};
type Filter = "look" | "hand" | "out" | "all";

export interface DraftWall {
  section: string;
  exterior: boolean | null;
  bearing: boolean | null;
  top: number | null;
}

export const keyOf = (wall: Wall): string => JSON.stringify(wall.ref ?? [wall.start, wall.end]);
export const longOf = (wall: Wall): number => Math.hypot(wall.end[0] - wall.start[0], wall.end[1] - wall.start[1]);

export class WallsPanel {
  readonly root = element("section");
  chosen: Wall[] = [];
  drafting = false;
  readonly draftWall: DraftWall;
  onChoose = (_walls: Wall[]): void => {};
  onLook = (_walls: Wall[]): void => {};
  onDraft = (_on: boolean): void => {};
  onShowPlace = (_miss: NearMiss): void => {};
  private filter: Filter = "look";
  private readonly work: Work;
  private readonly sections: readonly Choice[];
  private readonly metric: () => boolean;

  constructor(work: Work, sections: readonly Choice[], metric: () => boolean) {
    [this.work, this.sections, this.metric] = [work, sections, metric];
    this.draftWall = { section: commonest(work.plan.walls) ?? sections[0]?.[0] ?? "2x4", exterior: null, bearing: null, top: null };
    if (this.looks().length === 0) this.filter = "all";
    this.draw();
  }

  private looks(): Wall[] {
    return this.work.plan.walls.filter((w) => w.state === "planned" && w.confidence < SURE && !isByHand(w));
  }

  draw(): void {
    const at = keyOfFocus(this.root);
    this.root.replaceChildren(
      element("h2", "Walls"),
      this.drafting ? this.draftForm() : this.chosenWalls(),
      ...this.shortEnds(),
      ...this.list(),
    );
    focusKey(this.root, at);
  }

  private draftForm(): HTMLElement {
    const d = this.draftWall;
    return classed("picked", element("div", null,
      element("h3", "The wall to draw"),
      element("p", "Click its two ends on the plan, on the middle line of its framing. Points are pulled to ends and lines of walls, to the middle between two lines, and square."),
      classed("controls", element("div", null,
        ...properties(d, this.sections, "as the settings say", "draft", (_, to) => Object.assign(d, { ...to, section: to.section ?? d.section })))),
      button("Stop drawing", () => this.onDraft(false))));
  }

  private chosenWalls(): HTMLElement {
    const { chosen } = this;
    const [wall] = chosen;
    if (!wall) {
      return classed("picked none", element("div", null,
        element("p", "Click a wall in the plan, or choose one below. Shift adds to the choice."),
        button("Draw a missing wall", () => this.onDraft(true))));
    }
    const heading = chosen.length === 1 ? nameOf(wall) : plural(chosen.length, "wall");
    const box = classed("picked", element("div", null, element("h3", heading)));
    const list = element("dl");
    const metric = this.metric();
    if (chosen.length === 1) {
      fact(list, "Length", element("strong", length(longOf(wall), metric)));
      fact(list, "Drawn", `${length(wall.thickness, metric)} thick`);
      fact(list, "Found", HOW[wall.how]);
      fact(list, "Confidence", percent(wall.confidence), wall.confidence < SURE ? ": worth a look" : "");
      fact(list, "State", stateOf(wall));
      if (wall.plan_walls.length > 0) fact(list, "In the plan", `${wall.plan_walls.join(", ")}${wall.runs.length > 0 ? `, in ${wall.runs.join(", ")}` : ""}`);
      wall.source.slice(0, 3).forEach((s, i) => fact(list, i === 0 ? "Drawn as" : "", element("code", s.entity), " on ", isolated(s.layer)));
      if (wall.source.length > 3) fact(list, "", `and ${wall.source.length - 3} more`);
    } else {
      fact(list, "Together", element("strong", length(chosen.reduce((sum, w) => sum + longOf(w), 0), metric)));
    }
    box.append(list);
    const gone = chosen.filter((w) => w.state === "removed");
    if (gone.length < chosen.length) box.append(this.controls(chosen.filter((w) => w.state !== "removed")));
    box.append(this.actions(gone));
    return box;
  }

  private controls(walls: Wall[]): HTMLElement {
    const change = (words: string, to: WallChange) =>
      this.work.edit(words, (o) => walls.reduce((edited, wall) => changeWall(edited, wall, to), o));
    const shared = <T>(of: (wall: Wall) => T): T | undefined => {
      const [first, ...rest] = walls.map(of);
      return rest.every((v) => v === first) ? first : undefined;
    };
    const its = {
      exterior: shared((w) => w.exterior_said), bearing: shared((w) => w.bearing), section: shared((w) => w.section), top: shared((w) => w.top),
    };
    return classed("controls", element("div", null,
      ...properties(its, this.sections, "as drawn", "wall", (what, to) => change(`${what} of a wall`, to))));
  }

  private actions(gone: Wall[]): HTMLElement {
    const { chosen } = this;
    const row = classed("actions", element("div"));
    if (gone.length > 0) {
      row.append(button(gone.length === 1 ? "Put the wall back" : "Put the walls back", () =>
        this.work.edit("wall put back", (o) => gone.reduce((e, w) => putBack(e, w), o))));
    }
    if (gone.length < chosen.length) row.append(button(chosen.length === 1 ? "Remove the wall" : "Remove the walls", () => this.remove()));
    const edited = chosen.filter((w) => w.ref !== null && w.edits.some((e) => e.list !== "layers"));
    if (edited.length > 0) row.append(button("As drawn", () => this.work.edit("edits of a wall taken back", (o) => edited.reduce((e, w) => asDrawn(e, w), o)), "quiet"));
    row.append(button("Draw a missing wall", () => this.onDraft(true)), button("Let go", () => this.onChoose([]), "quiet"));
    return row;
  }

  remove(): void {
    const walls = this.chosen.filter((w) => w.state !== "removed");
    if (walls.length > 0) this.work.edit(walls.length === 1 ? "wall removed" : "walls removed", (o) => walls.reduce((e, w) => removeWall(e, w), o));
  }

  // Ends that stop just short of another wall.
  private shortEnds(): HTMLElement[] {
    const { near_misses } = this.work.plan;
    if (near_misses.length === 0) return [];
    const items = near_misses.slice(0, SHOWN).map((miss, i) => {
      const item = element("li", null, `${this.name(miss.wall)} stops ${length(miss.gap_in, this.metric())} short of ${this.name(miss.other)} `,
        button("Show", () => this.onShowPlace(miss), "quiet"), " ",
        button("Close the gap", () => this.accept([miss])));
      item.querySelectorAll("button").forEach((b, n) => {
        b.dataset.key = `miss ${i} ${n}`;
        b.setAttribute("aria-label", `${b.textContent}: ${this.name(miss.wall)} and ${this.name(miss.other)}`);
      });
      return item;
    });
    const out: HTMLElement[] = [element("h3", "Ends that stop short"), classed("misses", element("ul", null, ...items))];
    if (near_misses.length > 1) out.push(button(`Close all ${near_misses.length} gaps`, () => this.accept(near_misses)));
    return out;
  }
  accept(misses: readonly NearMiss[]): void {
    this.work.edit(misses.length === 1 ? "gap closed" : "gaps closed", (o) => misses.reduce((e, m) => acceptSnap(e, m.snap), o));
  }
  private name(id: string): string {
    const wall = this.work.plan.walls.find((w) => w.id === id);
    return wall ? nameOf(wall) : id;
  }

  private list(): HTMLElement[] {
    const all = this.work.plan.walls;
    const lists: Record<Filter, Wall[]> = {
      look: this.looks(),
      hand: all.filter((w) => isByHand(w) && w.state !== "removed"),
      out: all.filter((w) => w.state !== "planned"),
      all,
    };
    const walls = lists[this.filter];
    const pick = choice("List", [
      ["look", `worth a look (${lists.look.length})`], ["hand", `changed by hand (${lists.hand.length})`],
      ["out", `left out or removed (${lists.out.length})`], ["all", `all (${all.length})`],
    ], this.filter, (v) => {
      this.filter = v as Filter;
      this.draw();
    });
    const select = pick.querySelector("select");
    if (select) select.dataset.key = "filter";
    const chosen = new Set(this.chosen);
    const rows = walls.slice(0, SHOWN).map((wall, i) => {
      const row = button("", () => this.onChoose([wall]), "wall-row");
      const facts = [length(longOf(wall), this.metric()), wall.section, wall.exterior ? "exterior" : "interior",
        wall.confidence < SURE ? `${percent(wall.confidence)}?` : "", wall.state === "planned" ? "" : stateOf(wall)];
      row.append(element("b", nameOf(wall)), ` ${facts.filter((t) => t !== "").join(", ")}`);
      row.setAttribute("aria-pressed", String(chosen.has(wall)));
      row.dataset.key = `row ${i}`;
      row.addEventListener("pointerenter", () => this.onLook([wall]));
      row.addEventListener("pointerleave", () => this.onLook([]));
      return element("li", null, row);
    });
    const more = walls.length - rows.length;
    return [pick, classed("wall-list", element("ul", null, ...rows)),
      ...(rows.length === 0 ? [element("p", "None.")] : []), ...(more > 0 ? [element("p", `and ${more} more: click them in the plan.`)] : [])];
  }
}

// What people call a wall: by the plan's names of it where it has any.
export const nameOf = (wall: Wall): string => {
  const [first, ...rest] = wall.plan_walls;
  return first === undefined ? wall.id : rest.length < 3 ? [first, ...rest].join(", ") : `${first} and ${rest.length} more`;
};
const stateOf = (wall: Wall): string =>
  wall.state === "removed" ? "removed by hand" : wall.state === "left-out" ? "left out of the plan" : isByHand(wall) ? "planned, changed by hand" : "planned";

const commonest = (walls: readonly Wall[]): string | null => {
  const counts = new Map<string, number>();
  for (const { section, exterior } of walls) if (!exterior) counts.set(section, (counts.get(section) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1))[0]?.[0] ?? null;
};

