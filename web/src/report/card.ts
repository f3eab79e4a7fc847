// The card: what there is to know of what is looked at. Knows: how facts read in words. Whatever a
// drawing said is put in as text, never as markup.

import { element, isolated, need, plural, type Content } from "../viewer/dom";
import * as Facts from "./facts";
import * as Pieces from "./pieces";

let box: HTMLElement;
export const find = (stage: Element): void => {
  box = need(stage, ".card");
};

const line = (list: HTMLElement, word: string, ...content: Content[]) => {
  if (content.length === 0) return;
  list.append(element("dt", word), element("dd", null, ...content));
};

const links = (ids: number[]): Content[] =>
  ids.flatMap((id, i) => {
    const link = element("a", Pieces.markOf(id));
    link.href = `#P${id}`;
    link.className = "to-piece";
    return i === 0 ? [link] : [", ", link];
  });

const sources = (walls: number[]): Content[] =>
  walls.flatMap((number, i) => {
    const source = Facts.wall(number)?.source ?? [];
    const out: Content[] = [i === 0 ? "" : "; ", `W${number}`];
    source.slice(0, 4).forEach(([entity, layer], n) => {
      out.push(n === 0 ? ": " : ", ", element("code", entity), " on ", isolated(layer));
    });
    if (source.length > 4) out.push(` and ${source.length - 4} more`);
    return out;
  });

const standsOn = (fact: Facts.PieceFact): Content[] => {
  if (fact.layer === "bottom") return ["the floor"];
  if (fact.layer === "lower") return ["the studs"];
  const ids = Facts.touching(fact, true);
  return ids.length ? links(ids) : ["nothing drawn"];
};

const close = () => {
  const b = element("button", "Close");
  b.type = "button";
  b.className = "close";
  return b;
};

const show = (pinned: boolean, ...content: Content[]) => {
  box.replaceChildren(...content);
  if (pinned) box.append(close());
  box.classList.toggle("pinned", pinned);
  box.hidden = false;
};
export const hide = (): void => {
  box.hidden = true;
  box.classList.remove("pinned");
  box.replaceChildren();
};

const copy = (cell: Element | undefined): Content[] => (cell ? [...cell.cloneNode(true).childNodes] : []);

export const piece = (id: number, pinned: boolean): void => {
  const [fact, row] = [Facts.piece(id), Pieces.row(id)];
  if (!fact || !row) return hide();
  const [mark, plate, length, ends, notches, check, board] = row.cells;
  const head = element("h3");
  head.append(isolated(Pieces.markOf(id)), " ", element("small", mark?.querySelector("small")?.textContent));
  const list = element("dl");
  line(list, "Plate", ...copy(plate), ` of R${fact.run}`);
  line(list, "Length", ...copy(length));
  line(list, "Ends", ...copy(ends));
  if (notches && !notches.matches(".none")) line(list, "Notches", ...copy(notches));
  line(list, "Check", ...copy(check));
  const nails = new Map<string, [sum: number, parts: string[]]>(); // by name: how many, and how they are spread
  for (const { name, count, at } of fact.nails()) {
    const [sum, parts] = nails.get(name) ?? [0, []];
    nails.set(name, [sum + count * at.length, [...parts, `${count} in ${plural(at.length, "place")}`]]);
  }
  for (const [name, [sum, parts]] of nails) line(list, "Nails", `${sum}: ${parts.join(", ")}; `, isolated(name));
  const marks = fact.marks().map(([kind, at]) => plural(at.length, kind));
  if (marks.length) line(list, "Marked", marks.join(", "));
  line(list, "Stands on", ...standsOn(fact));
  if (fact.layer === "lower") {
    const over = Facts.touching(fact, false);
    if (over.length) line(list, "Under", ...links(over));
  }
  line(list, "Board", ...copy(board));
  line(list, "Drawn as", ...sources(fact.walls));
  show(pinned, head, list);
};

export const findings = (numbers: number[], pinned: boolean): void => {
  const list = element("ul");
  for (const n of numbers.slice(0, 6)) {
    const item = document.getElementById(`f${n}`);
    if (!item) continue;
    const link = element("a", `${n}`);
    link.href = `#f${n}`;
    const severity = item.closest("article")?.querySelector("h3")?.textContent?.trim().split(":")[0] ?? "";
    const message = item.querySelector("bdi")?.textContent ?? "";
    list.append(element("li", "", link, ` ${severity}: `, isolated(message)));
  }
  const more = numbers.length - 6;
  show(pinned, element("h3", numbers.length === 1 ? "Finding" : plural(numbers.length, "finding")), list,
    ...(more > 0 ? [element("p", `and ${more} more here`)] : []));
};

export const wall = (number: number): void => {
  const fact = Facts.wall(number);
  if (!fact) return hide();
  const list = element("dl");
  line(list, "Wall", `${fact.words}, in R${fact.run}`);
  line(list, "Drawn as", ...sources([number]));
  show(false, element("h3", `W${number}`), list);
};

export const linework = (layer: string, reason: string): void => {
  const list = element("dl");
  line(list, "Layer", isolated(layer));
  line(list, reason ? "Left out" : "Read", isolated(reason || "became part of a wall or an opening"));
  show(false, element("h3", "Line of the drawing"), list);
};

// Out of the way of a place of the screen: in the corner of the stage farthest from it.
export const keepClear = (x: number, y: number): void => {
  const stage = box.parentElement?.getBoundingClientRect();
  if (!stage) return;
  box.classList.toggle("high", y > stage.top + stage.height / 2);
  box.classList.toggle("right", x < stage.left + stage.width / 2);
};

// What a screen reader hears of a piece.
export const spoken = (id: number): string => {
  const row = Pieces.row(id);
  if (!row) return "";
  const [, plate, length, ends] = row.cells;
  return [Pieces.markOf(id), plate?.textContent, length?.querySelector("strong")?.textContent, ends?.textContent]
    .map((t) => (t ?? "").trim()).join(", ");
};
