// What of the drawing is shown. Knows: the switches, and how studs and nails are drawn the first time
// somebody asks for them.

import type { Place } from "../viewer/camera";
import { drawn as made } from "../viewer/dom";
import * as Facts from "./facts";

const STUD = 1.5; // inches; dressed thickness of two-by lumber laid under a plate
let stage: Element;
const drawn = new Set<string>();
const n = (value: number) => Math.round(value * 100) / 100;

const stroke = (points: Place[], closed = false) =>
  points.map(([x, y], i) => `${i ? "L" : "M"}${n(x)} ${n(y)}`).join("") + (closed ? "z" : "");

type At = (station: number, offset: number) => Place;

// A stud by its footprint: crossed; a king has one diagonal, a trimmer none. The rest are lines
// across the plate, a wall that meets it with a longer one; an anchor bolt is a ring.
const pencil = (kind: string, at: At, half: number): ((s: number) => string) | undefined => {
  const box = (s: number): [Place, Place, Place, Place] =>
    [at(s - STUD / 2, -half), at(s + STUD / 2, -half), at(s + STUD / 2, half), at(s - STUD / 2, half)];
  const draw: Record<string, (s: number) => string> = {
    stud: (s) => {
      const [a, b, c, d] = box(s);
      return stroke([a, b, c, d], true) + stroke([a, c]) + stroke([b, d]);
    },
    corner: (s) => {
      const [a, b, c, d] = box(s);
      return stroke([a, b, c, d], true) + stroke([a, c]) + stroke([b, d]) + stroke([at(s, -half), at(s, half)]);
    },
    king: (s) => {
      const [a, b, c, d] = box(s);
      return stroke([a, b, c, d], true) + stroke([a, c]);
    },
    trimmer: (s) => stroke(box(s), true),
    tee: (s) => stroke([at(s, -half * 1.35), at(s, half * 1.35)]),
    opening: (s) => stroke([at(s, -half), at(s, half)]),
    anchor: (s) => stroke([0, 1, 2, 3, 4, 5, 6, 7].map((i) =>
      at(s + 0.8 * Math.cos((i * Math.PI) / 4), 0.8 * Math.sin((i * Math.PI) / 4))), true),
  };
  return draw[kind];
};

const studsOf = (fact: Facts.PieceFact, run: Facts.RunFact) => {
  const at: At = (s, o) => run.at(fact.from + s, o);
  return fact.marks().map(([kind, stations]) => {
    const draw = pencil(kind, at, run.half);
    return draw ? stations.map(draw).join("") : "";
  }).join("");
};
const nailsOf = (fact: Facts.PieceFact, run: Facts.RunFact) =>
  fact.nails().map(({ count, at }) => at.map((s) => {
    let d = "";
    for (let i = 0; i < count; i++) {
      const [x, y] = run.at(fact.from + s, run.half * (2 * (i + 0.5) / count - 1));
      d += `M${n(x)} ${n(y)}h0`;
    }
    return d;
  }).join("")).join("");

const draw = (what: "studs" | "nails") => {
  if (drawn.has(what)) return;
  drawn.add(what);
  const paths = new Map<string, { id: string; layer: string; d: string }>();
  for (const id of Facts.pieceIds()) {
    const fact = Facts.piece(id);
    const run = fact && Facts.run(fact.run);
    if (!run) continue;
    const key = `${run.storey} ${fact.layer}`;
    const path = paths.get(key) ?? { id: `s${run.storey}-${what}`, layer: fact.layer, d: "" };
    path.d += (what === "studs" ? studsOf : nailsOf)(fact, run);
    paths.set(key, path);
  }
  for (const { id, layer, d } of paths.values()) {
    document.getElementById(id)?.append(made("path", { class: layer, d }));
  }
};

export const set = (key: string, on: boolean): void => {
  if (on && (key === "studs" || key === "nails")) draw(key);
  stage.classList.toggle(`no-${key}`, !on);
  document.body.classList.toggle(`with-${key}`, on);
  const box = document.querySelector<HTMLInputElement>(`.layers input[value="${key}"]`);
  if (box) box.checked = on;
};

export const listen = (theStage: Element): void => {
  stage = theStage;
  for (const box of document.querySelectorAll<HTMLInputElement>(".layers input")) {
    set(box.value, box.checked); // a browser may have kept what was checked before
    box.addEventListener("change", () => set(box.value, box.checked));
  }
};
