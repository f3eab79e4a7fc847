// Finds pieces by what people call them: mark, piece, wall, run, entity of the drawing. Knows: the
// names; shows at most a dozen, the best first.

import { element, isolated, need, targetOf } from "../viewer/dom";
import * as Facts from "./facts";
import * as Pieces from "./pieces";

const SHOWN = 12;
interface Name {
  id: number;
  fact: Facts.PieceFact;
  own: string[];
  all: string[];
}
let names: Name[] | null = null;

const plain = (text: string) => text.trim().toLowerCase();
const read = (): Name[] => (names ??= Pieces.ids().flatMap((id) => {
  const fact = Facts.piece(id);
  if (!fact) return [];
  const entities = fact.walls.flatMap((w) => (Facts.wall(w)?.source ?? []).map(([entity]) => entity));
  const own = [Pieces.markOf(id), `P${id}`];
  const all = [...fact.walls.map((w) => `W${w}`), `R${fact.run}`, ...entities];
  return [{ id, fact, own: own.map(plain), all: all.map(plain) }];
}));

// How well a piece answers: 0 best, null not at all.
const rank = (name: Name, wanted: string): number | null => {
  if (name.own.includes(wanted)) return 0;
  if (name.all.includes(wanted)) return 1;
  if (name.own.some((n) => n.startsWith(wanted))) return 2;
  if (name.own.some((n) => n.includes(wanted))) return 3;
  return null;
};
const find = (words: string): Name[] => {
  const wanted = plain(words);
  if (wanted === "") return [];
  return read()
    .flatMap((name) => {
      const its = rank(name, wanted);
      return its === null ? [] : [{ name, rank: its }];
    })
    .sort((a, b) => a.rank - b.rank || a.name.id - b.name.id)
    .map((hit) => hit.name);
};

export const listen = (tools: Element, choose: (id: number) => void): void => {
  const input = need<HTMLInputElement>(tools, "#find");
  const said = need<HTMLElement>(tools, "#found");
  const list = need<HTMLElement>(tools, ".hits");
  const around = need<HTMLElement>(tools, ".find");
  let hits: Name[] = [];
  const clear = () => {
    list.hidden = true;
    list.replaceChildren();
  };
  const show = () => {
    hits = find(input.value);
    const more = hits.length - SHOWN;
    said.textContent = input.value.trim() === "" ? ""
      : hits.length === 0 ? "Nothing by that name"
      : `${hits.length} found${more > 0 ? `, the first ${SHOWN} listed` : ""}`;
    list.replaceChildren(...hits.slice(0, SHOWN).map(({ id, fact }) => {
      const button = element("button");
      button.type = "button";
      button.dataset.id = String(id);
      const walls = fact.walls.map((w) => `W${w}`).join(" ");
      button.append(isolated(Pieces.markOf(id)), ` P${id}, ${fact.layer}, R${fact.run} ${walls}`);
      return element("li", null, button);
    }));
    list.hidden = hits.length === 0;
  };
  const focus = (item: Element | null | undefined) => {
    const button = item?.querySelector("button");
    if (button) button.focus();
    return button !== null && button !== undefined;
  };
  input.addEventListener("input", show);
  input.addEventListener("keydown", (e) => {
    const best = hits[0];
    if (e.key === "Enter" && best) {
      choose(best.id);
      clear();
    } else if (e.key === "ArrowDown" && !list.hidden) {
      e.preventDefault();
      focus(list.firstElementChild);
    } else if (e.key === "Escape") {
      clear();
    }
  });
  list.addEventListener("keydown", (e) => {
    const item = targetOf(e)?.closest("li");
    if (e.key === "ArrowDown") {
      e.preventDefault();
      focus(item?.nextElementSibling);
    } else if (e.key === "ArrowUp") {
      e.preventDefault();
      if (!focus(item?.previousElementSibling)) input.focus();
    } else if (e.key === "Escape") {
      clear();
      input.focus();
    }
  });
  list.addEventListener("click", (e) => {
    const button = targetOf(e)?.closest("button");
    if (!button) return;
    choose(Number(button.dataset.id));
    clear();
    input.focus();
  });
  document.addEventListener("pointerdown", (e) => {
    if (!around.contains(targetOf(e))) clear();
  });
};
