// What can be said of a wall, of a layer's walls, of a wall to be drawn: side, bearing, section, height.

import { choice, field, type Choice } from "./controls";
import type { WallChange } from "./edits";
import { feetInches, readLength } from "./words";

const SIDES: readonly Choice[] = [["", "by the floor's outline"], ["yes", "exterior"], ["no", "interior"]];
const BEARS: readonly Choice[] = [["", "not known"], ["yes", "bearing"], ["no", "not bearing"]];
const SEVERAL = "several"; // walls that differ
const LEAST_TOP = 12; // inches, and the most: the server's own limits
const MOST_TOP = 480;

// What holds now; `undefined` where several walls differ.
export interface Properties {
  exterior: boolean | null | undefined;
  bearing: boolean | null | undefined;
  section: string | undefined;
  top: number | null | undefined;
}

const tri = (value: boolean | null | undefined): string | undefined =>
  value === undefined ? undefined : value === null ? "" : value ? "yes" : "no";
const untri = (value: string): boolean | null => (value === "" ? null : value === "yes");

// A height a person typed, or what is wrong with it.
const readTop = (typed: string): { top: number | null } | { wrong: string } => {
  if (typed.trim() === "") return { top: null };
  const top = readLength(typed);
  if (top === null) return { wrong: "Not a length. Try 8'-1 1/8\", 97.125 (inches) or 2467 mm." };
  if (top < LEAST_TOP || top > MOST_TOP) return { wrong: "A plate's top is from 1' to 40' above the floor." };
  return { top };
};

const chosen = (words: string, choices: readonly Choice[], value: string | undefined, change: (value: string) => void) => {
  const known = value === undefined ? [[SEVERAL, SEVERAL] as const, ...choices]
    : choices.some(([v]) => v === value) ? choices : [...choices, [value, value] as const];
  return choice(words, known, value ?? SEVERAL, (v) => v !== SEVERAL && change(v));
};

// Their controls. `change` hears what was changed, in a word, and to what; `key` names the controls, so
// that the one in focus is found again after it is drawn anew.
export const properties = (
  now: Properties,
  sections: readonly Choice[],
  topHint: string,
  key: string,
  change: (what: string, to: WallChange) => void,
): HTMLElement[] => {
  const made = [
    chosen("Side", SIDES, tri(now.exterior), (v) => change("side", { exterior: untri(v) })),
    chosen("Bearing", BEARS, tri(now.bearing), (v) => change("bearing", { bearing: untri(v) })),
    chosen("Section", sections, now.section, (v) => change("section", { section: v || null })),
    field("Top above floor", typeof now.top === "number" ? feetInches(now.top) : "", now.top === undefined ? SEVERAL : topHint, (typed) => {
      const read = readTop(typed);
      if ("wrong" in read) return read.wrong;
      change("height", { top: read.top });
      return null;
    }),
  ];
  made.forEach((one, i) => {
    const control = one.querySelector<HTMLElement>("select, input");
    if (control) control.dataset.key = `${key} ${i}`;
  });
  return made;
};
