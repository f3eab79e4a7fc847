// Small hands for the page's elements. Whatever a drawing said goes in as text, never as markup.

const SVG = "http://www.w3.org/2000/svg";

export type Content = Node | string;

export const element = <K extends keyof HTMLElementTagNameMap>(
  name: K,
  text?: string | null,
  ...children: Content[]
): HTMLElementTagNameMap[K] => {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  made.append(...children);
  return made;
};

export const drawn = <K extends keyof SVGElementTagNameMap>(
  name: K,
  attributes: Record<string, string | number> = {},
): SVGElementTagNameMap[K] => {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  return made;
};

// A drawing's own words: kept from mixing their direction of writing with ours.
export const isolated = (text: string): HTMLElement => element("bdi", text);

export const plural = (n: number, one: string): string => `${n} ${one}${n === 1 ? "" : "s"}`;

// The part of the page that must be there: its markup is ours.
export const need = <E extends Element>(within: ParentNode, selector: string): E => {
  const found = within.querySelector<E>(selector);
  if (!found) throw new Error(`the page has no ${selector}`);
  return found;
};

// What an event happened to; a text node has no `closest`.
export const targetOf = (event: Event): Element | null => (event.target instanceof Element ? event.target : null);
