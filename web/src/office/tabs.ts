// Tabs, as the ARIA authoring practices have them: arrows go from one to the next, Tab into the page
// below.

import { element } from "../viewer/dom";
import { classed } from "./controls";

export class Tabs {
  readonly root = element("div");
  now = "";
  onTurn = (_name: string): void => {};
  private readonly tabs = new Map<string, { tab: HTMLButtonElement; page: HTMLElement; words: string }>();

  constructor(label: string, all: readonly (readonly [name: string, words: string, page: HTMLElement])[]) {
    const list = classed("tabs", element("div"));
    list.setAttribute("role", "tablist");
    list.setAttribute("aria-label", label);
    this.root.append(list);
    for (const [name, words, page] of all) {
      const tab = element("button", words);
      tab.type = "button";
      tab.id = `tab-${name}`;
      tab.setAttribute("role", "tab");
      tab.setAttribute("aria-controls", `page-${name}`);
      tab.addEventListener("click", () => this.turn(name));
      page.id = `page-${name}`;
      page.tabIndex = 0;
      page.setAttribute("role", "tabpanel");
      page.setAttribute("aria-labelledby", tab.id);
      list.append(tab);
      this.root.append(page);
      this.tabs.set(name, { tab, page, words });
    }
    list.addEventListener("keydown", (e) => {
      const names = [...this.tabs.keys()];
      const at = names.findIndex((name) => this.tabs.get(name)?.tab === document.activeElement);
      const to = ({ ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: names.length - 1 } as Record<string, number>)[e.key];
      const name = to === undefined ? undefined : names[(to + names.length) % names.length];
      if (name === undefined) return;
      e.preventDefault();
      this.turn(name);
      this.tabs.get(name)?.tab.focus();
    });
  }

  turn(name: string): void {
    const turned = name !== this.now;
    this.now = name;
    for (const [its, { tab, page }] of this.tabs) {
      tab.setAttribute("aria-selected", String(its === name));
      tab.tabIndex = its === name ? 0 : -1;
      page.hidden = its !== name;
    }
    if (turned) this.onTurn(name);
  }

  // A number beside a tab's words; none for nought.
  count(name: string, n: number): void {
    const its = this.tabs.get(name);
    if (!its) return;
    its.tab.replaceChildren(its.words);
    if (n > 0) its.tab.append(" ", classed("number", element("span", String(n))));
  }
}
