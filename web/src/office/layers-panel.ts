// How the drawing is read: its unit, the drawings of its sheet, what each layer is taken for. Every
// change is an edit of the overrides.

import { element, isolated, plural, type Content } from "../viewer/dom";
import { button, check, choice, classed, fact, type Choice } from "./controls";
import { full, mapLayer } from "./edits";
import type { LayerEdit, Reading, Row } from "./kinds";
import { focusKey, keyOfFocus } from "./focus";
import { properties } from "./properties";
import { percent } from "./words";
import type { Work } from "./work";

const USES: readonly Choice[] = [
  ["wall", "walls"], ["door", "doors"], ["window", "windows"], ["opening", "openings"], ["ignore", "nothing: left out"],
];
export const UNITS: Record<string, string> = { in: "inches", ft: "feet", mm: "millimetres", cm: "centimetres", m: "metres" };

export class LayersPanel {
  readonly root = element("section");
  onLook = (_layer: string | null): void => {};
  private readonly work: Work;
  private readonly sections: readonly Choice[];

  constructor(work: Work, sections: readonly Choice[]) {
    this.work = work;
    this.sections = [["", "as read"], ...sections];
    this.root.addEventListener("pointerover", (e) => this.onLook(layerOf(e)));
    this.root.addEventListener("pointerleave", () => this.onLook(null));
    this.root.addEventListener("focusin", (e) => this.onLook(layerOf(e)));
    this.draw();
  }

  // Drawn anew after an edit; who was at a control is at the same one again.
  draw(): void {
    const { reading } = this.work;
    const at = keyOfFocus(this.root);
    const open = this.root.querySelector("details")?.open ?? false;
    const rows = reading.rows.map((row) => ({ row, weight: weightOf(row) }));
    const [first, rest] = [rows.filter((r) => r.weight > 0), rows.filter((r) => r.weight === 0)];
    first.sort((a, b) => b.weight - a.weight);
    const layers = reading.rows_are === "layers";
    this.root.replaceChildren(
      element("h2", "Units and layers"),
      this.units(reading),
      ...this.regions(reading),
      element("h3", layers ? "What the layers are" : "What the wall types are"),
      ...(first.length === 0 ? [element("p", "No layer is taken for walls. Choose one below.")] : []),
      ...first.map((r) => this.row(r.row)),
    );
    if (rest.length > 0) {
      const more = classed("more-rows", element("details", null,
        element("summary", `${first.length > 0 ? "Other" : "All"} ${layers ? "layers" : "types"} (${rest.length})`),
        ...rest.map((r) => this.row(r.row))));
      more.open = open || first.length === 0;
      this.root.append(more);
    }
    focusKey(this.root, at);
  }

  private units(reading: Reading): HTMLElement {
    const { overrides } = this.work;
    const box = classed("units", element("div"));
    const list = element("dl");
    if (reading.units) {
      const name = UNITS[reading.units.name] ?? reading.units.name;
      fact(list, "Unit", element("strong", name));
      fact(list, "Decided by", isolated(reading.units.decided_by));
    } else {
      fact(list, "Unit", element("strong", "not known"));
      if (reading.unit_said) fact(list, "The file says", isolated(reading.unit_said));
      box.append(classed("trouble", element("p", "The drawing does not say in which unit it is drawn. Choose it: nothing is planned before.")));
    }
    box.append(list, choice("Read the drawing in", [["", "what the file says"], ...Object.entries(UNITS)], overrides.units ?? "", (unit) =>
      this.work.edit("unit chosen", (o) => ({ ...full(o), units: (unit || null) as NonNullable<typeof o.units> | null }))));
    if (reading.unit_readings.length > 0) {
      const items = reading.unit_readings.map((r) =>
        element("li", null, element("b", `${UNITS[r.unit] ?? r.unit}: `), r.plausible ? "plausible. " : "not plausible. ", isolated(r.evidence)));
      box.append(element("details", null, element("summary", "How each unit would look"), element("ul", null, ...items)));
    }
    box.append(choice("Mirrored", [["none", "no"], ["x", "left and right"], ["y", "front and back"]], overrides.mirror ?? "none", (way) =>
      this.work.edit("mirrored", (o) => ({ ...full(o), mirror: way === "none" ? null : (way as "x" | "y") }))));
    for (const e of box.querySelectorAll("select")) e.dataset.key = `u ${e.previousElementSibling?.textContent ?? ""}`;
    return box;
  }

  private regions({ regions }: Reading): Content[] {
    if (regions.length < 2) return [];
    const chosen = new Set(regions.filter((r) => r.planned).map((r) => r.number));
    const boxes = regions.map((region) => {
      const words = check("", region.planned, (on) => {
        if (on) chosen.add(region.number);
        else chosen.delete(region.number);
        const region_list = [...chosen].sort((a, b) => a - b).map(String);
        this.work.edit("drawings of the sheet chosen", (o) => ({ ...full(o), region: region_list }));
      });
      words.append(element("b", `${region.number} `), isolated(region.title || "without a title"), ` ${region.kind}, ${plural(region.walls, "wall")}`);
      const box = words.firstElementChild as HTMLInputElement;
      box.dataset.key = `region ${region.number}`;
      box.disabled = region.planned && chosen.size === 1; // none chosen would mean all
      return element("li", null, words, element("small", region.why));
    });
    return [element("h3", "Drawings on the sheet"), classed("regions-list", element("ul", null, ...boxes))];
  }

  private row(row: Row): HTMLElement {
    const entry = this.work.overrides.layers?.find((e) => e.match === row.name);
    const title = element("h4", null, isolated(row.name || "(no name)"));
    const said = element("p", null, [
      plural(row.entities, "entity").replace("entitys", "entities"),
      row.walls > 0 ? plural(row.walls, "wall") : "",
      row.walls_score === null ? "" : `looks like walls: ${percent(row.walls_score / 100)}`,
      row.off ? "switched off" : "", row.frozen ? "frozen" : "",
    ].filter((t) => t !== "").join(" · "));
    const change = (words: string, edit: Partial<LayerEdit>) => {
      const use = edit.use ?? row.used_as;
      const before = entry ?? { match: row.name, use };
      const next: LayerEdit = use === "wall" ? { ...before, ...edit, match: row.name, use } : { match: row.name, use };
      this.work.edit(words, (o) => mapLayer(o, row.name, next));
    };
    const use = choice("Taken as", USES, row.used_as, (v) => change("layer mapped", { use: v as LayerEdit["use"] }));
    const select = use.querySelector("select");
    if (select) select.dataset.key = `${row.name} use`;
    const its = { exterior: row.exterior, bearing: row.bearing, section: entry?.section ?? row.section ?? "", top: row.top };
    const more = row.used_as !== "wall" ? []
      : properties(its, this.sections, "as read", row.name, (what, to) => change(`${what} of a layer`, to));
    const rule = element("small", null, row.rule, row.framing ? `. Framing: ${row.framing}` : "");
    const made = classed(entry ? "row edited" : "row", element("div", null, title, said, classed("controls", element("div", null, use, ...more)), rule));
    const { proposed } = row;
    if (proposed && !entry) made.append(button("Take as proposed", () => this.work.edit("proposed mapping taken", (o) => mapLayer(o, row.name, proposed))));
    if (entry) made.append(button("As before", () => this.work.edit("mapping taken back", (o) => mapLayer(o, row.name, null)), "quiet"));
    made.dataset.layer = row.name;
    return made;
  }
}

// What is read, offered or edited comes first, what looks most like walls before the rest.
const weightOf = (row: Row): number => {
  if (row.used_as === "wall") return 1000 + row.walls;
  if (row.edit !== null || row.proposed) return 900;
  if (row.used_as !== "ignore") return 500;
  return (row.walls_score ?? 0) >= 50 ? 100 + (row.walls_score ?? 0) : 0;
};
const layerOf = (e: Event): string | null =>
  (e.target instanceof Element ? e.target.closest<HTMLElement>("[data-layer]")?.dataset.layer : null) ?? null;
