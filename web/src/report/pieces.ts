// Which piece is looked at. Knows: that a plate of the plan, its mark and its row are one piece, and
// keeps them lit together; who wants to know of a change asks to be told.

import { drawn } from "../viewer/dom";

type Way = "under" | "held";
// Where a choice was made.
export type From = "plan" | "row" | "search" | "key" | "link" | "pin" | "pointer";
export interface Looked {
  held: number | null;
  under: number | null;
  from: From;
}

const shapes = new Map<number, SVGPathElement>();
const rows = new Map<number, HTMLTableRowElement>();
// By drawing: an outline above everything else, for each way of being looked at.
const halos: { svg: SVGSVGElement; under: SVGPathElement; held: SVGPathElement }[] = [];
let heldNow: number | null = null; // chosen, lit until another is
let under: number | null = null; // under the pointer or in focus
const listeners: ((looked: Looked) => void)[] = [];

export const index = (): void => {
  for (const path of document.querySelectorAll<SVGPathElement>(".stage .plates [data-p]")) {
    shapes.set(Number(path.dataset.p), path);
  }
  for (const row of document.querySelectorAll<HTMLTableRowElement>("tr[data-p]")) rows.set(Number(row.dataset.p), row);
  for (const svg of document.querySelectorAll<SVGSVGElement>("svg.plan")) {
    const [under, held] = [drawn("path", { class: "halo under" }), drawn("path", { class: "halo held" })];
    svg.querySelector(".world")?.append(under, held);
    halos.push({ svg, under, held });
  }
};

const light = (id: number | null, way: Way, on: boolean) => {
  if (id === null) return;
  rows.get(id)?.classList.toggle(way, on);
  const shape = shapes.get(id);
  const halo = shape && halos.find((h) => h.svg === shape.ownerSVGElement);
  if (!halo) return;
  if (on) halo[way].setAttribute("d", shape.getAttribute("d") ?? "");
  else halo[way].removeAttribute("d");
};

export const hold = (id: number | null, from: From): void => {
  if (id !== null && !rows.has(id)) return;
  light(heldNow, "held", false);
  heldNow = id;
  light(heldNow, "held", true);
  for (const told of listeners) told({ held: heldNow, under, from });
};
export const pointAt = (id: number | null): void => {
  if (id === under) return;
  light(under, "under", false);
  under = id;
  light(under, "under", true);
  for (const told of listeners) told({ held: heldNow, under, from: "pointer" });
};
// The piece after or before the held one, in the order of the table.
export const step = (by: number): void => {
  const order = [...rows.keys()];
  const at = heldNow === null ? -1 : order.indexOf(heldNow);
  const next = at < 0 ? (by > 0 ? 0 : order.length - 1) : (at + by + order.length) % order.length;
  const id = order[next];
  if (id !== undefined) hold(id, "key");
};

export const held = (): number | null => heldNow;
export const shape = (id: number | null): SVGPathElement | undefined => (id === null ? undefined : shapes.get(id));
export const row = (id: number): HTMLTableRowElement | undefined => rows.get(id);
export const markOf = (id: number): string => rows.get(id)?.querySelector("th bdi")?.textContent ?? "";
export const onChange = (told: (looked: Looked) => void): void => void listeners.push(told);
export const ids = (): number[] => [...rows.keys()];
