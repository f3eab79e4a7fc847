// What the signs of the plan mean, and its keys.

import { drawn, element } from "../viewer/dom";
import { classed } from "./controls";
import type { Junction } from "./kinds";
import { badge, sample, signed, signOf } from "./picture";

const KINDS: readonly (readonly [Junction["kind"], string])[] = [
  ["L", "corner"], ["T", "tee"], ["X", "crossing"], ["inline", "in line"], ["end", "free end"], ["other", "other junction"],
];

const junction = (kind: Junction["kind"]) => {
  const g = drawn("g", { class: "junctions" });
  g.append(drawn("circle", { class: "disc", r: 1.5 }), drawn("path", { class: "sign", d: signOf(kind, [0, 0], 1.1) }));
  return signed(g);
};
const mark = (group: string, name: string, d: string) => {
  const g = drawn("g", { class: group });
  g.append(drawn("path", { class: name, d }));
  return signed(g);
};

export const legend = (): HTMLElement => {
  const item = (sign: SVGElement, words: string) => element("li", null, sign, words);
  const bearing = drawn("svg", { class: "key wide", viewBox: "0 0 12 4", "aria-hidden": "true" });
  const g = drawn("g", { class: "bodies" });
  g.append(drawn("path", { class: "body interior", d: "M0 .6H12V3.4H0Z" }), drawn("path", { class: "bearing", d: "M0 2H12" }));
  bearing.append(g);
  const list = classed("legend", element("ul", null,
    item(sample("body exterior"), "exterior wall"), item(sample("body interior"), "interior wall"), item(bearing, "bearing"),
    item(sample("body interior doubtful"), "worth a look, with its confidence"), item(sample("body left-out"), "left out of the plan"),
    item(sample("body removed"), "removed by hand"), item(mark("bodies", "by-hand", "M-1.2 0L0 -1.2L1.2 0L0 1.2Z"), "changed or drawn by hand"),
    ...KINDS.map(([kind, words]) => item(junction(kind), words)),
    item(mark("offers", "short", "M-1.2 -1.2H1.2V1.2H-1.2Z"), "end that stops short; click to close the gap"),
    item(badge("error"), "error"), item(badge("warning"), "warning"), item(badge("note"), "note")));
  const keys = element("p", null, "Drag to move, wheel or pinch to zoom, click a wall to change it, Shift-click for more than one. Keys, with the plan in focus: ");
  for (const [key, words] of [
    ["+", ""], ["−", "zoom"], ["0", "whole plan"], ["W", "next wall (Shift: the one before)"], ["N", ""], ["P", "next and previous finding"],
    ["D", "draw a wall"], ["Del", "remove the wall"], ["Esc", "let go"],
  ] as const) keys.append(element("kbd", key), words === "" ? " " : ` ${words}, `);
  keys.append("Ctrl+Z and Ctrl+Y undo and redo. While drawing: arrows move the cross by a foot (Shift: an inch), ", element("kbd", "E"),
    " takes it to the next end of a wall, ", element("kbd", "Enter"), " puts a point.");
  keys.id = "keys";
  const box = element("details", null, element("summary", "Signs and keys"), list, keys);
  return classed("how", box);
};
