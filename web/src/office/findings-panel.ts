// Findings one by one: what, where, why, what to do; ticked off when a person has looked.

import { element, isolated, plural } from "../viewer/dom";
import * as Api from "./api";
import { button, check, classed, fact, refusalOf } from "./controls";
import type { Codes, Finding, NearMiss, Wall } from "./kinds";
import { focusKey, keyOfFocus } from "./focus";
import { badge } from "./picture";
import { nameOf } from "./walls-panel";
import { length } from "./words";
import type { Work } from "./work";

const LISTED = 200; // findings in the list at a time

export class FindingsPanel {
  readonly root = element("section");
  at: number | null = null;
  onShow = (_index: number, _bring: boolean): void => {};
  onWalls = (_walls: Wall[]): void => {};
  onAccept = (_misses: NearMiss[]): void => {};
  onTicked = (): void => {};
  private readonly work: Work;
  private readonly metric: () => boolean;
  private onlyNew = false;
  private open: string | null = null; // key of the finding that is shown: an edit numbers them anew
  private codes: Codes | null = null;

  constructor(work: Work, metric: () => boolean) {
    [this.work, this.metric] = [work, metric];
    this.draw();
  }

  private get all(): Finding[] {
    return this.work.plan.findings;
  }
  // The order of the walk: all, or those nobody has ticked off and the one that is shown.
  private get order(): number[] {
    return [...this.all.keys()].filter((i) => !this.onlyNew || i === this.at || !this.all[i]?.looked_at);
  }

  step(by: number): void {
    const { order } = this;
    if (order.length === 0) return;
    const place = this.at === null ? (by > 0 ? -1 : 0) : order.indexOf(this.at);
    const next = order[(place + by + order.length) % order.length];
    if (next !== undefined) this.show(next, true);
  }
  show(index: number, bring: boolean): void {
    this.at = index;
    this.open = this.all[index]?.key ?? null;
    this.draw();
    this.onShow(index, bring);
  }

  // After an edit the same finding stays open, if there is still the same.
  follow(): void {
    const index = this.open === null ? -1 : this.all.findIndex((f) => f.key === this.open);
    this.at = index < 0 ? null : index;
    this.draw();
  }

  draw(): void {
    const at = keyOfFocus(this.root);
    const left = this.all.filter((f) => !f.looked_at).length;
    const words = this.all.length === 0 ? "None: nothing to look at."
      : left === 0 ? `${plural(this.all.length, "finding")}, all ticked off.`
      : `${plural(this.all.length, "finding")}, ${left} not ticked off yet.`;
    this.root.replaceChildren(element("h2", "Findings"), element("p", words));
    if (this.all.length > 0) this.root.append(this.walk(), ...this.one(), this.list());
    focusKey(this.root, at);
  }

  private walk(): HTMLElement {
    const place = this.at === null ? -1 : this.order.indexOf(this.at);
    const [previous, next] = [button("Previous", () => this.step(-1)), button("Next", () => this.step(1))];
    [previous.dataset.key, next.dataset.key] = ["previous", "next"];
    const only = check("only those not ticked off", this.onlyNew, (on) => {
      this.onlyNew = on;
      this.draw();
    });
    (only.firstElementChild as HTMLElement).dataset.key = "only";
    const where = element("span", place < 0 ? "" : `${place + 1} of ${this.order.length}`);
    return classed("walk", element("div", null, previous, next, where, only));
  }

  private one(): HTMLElement[] {
    const finding = this.at === null ? null : this.all[this.at];
    if (!finding || this.at === null) return [];
    const head = element("h3", null, badge(finding.severity), ` ${this.at + 1} ${finding.severity}: ${finding.title} `, element("code", finding.code));
    const list = element("dl");
    fact(list, "What to do", isolated(finding.what_to_do));
    if (finding.at) {
      const [x, y] = finding.at;
      const show = button("Show the place", () => this.at !== null && this.onShow(this.at, true), "quiet");
      show.dataset.key = "place";
      fact(list, "Where", `${length(x, this.metric())} across, ${length(y, this.metric())} up `, show);
    }
    const walls = this.work.plan.walls.filter((w) => finding.walls.includes(w.id));
    if (walls.length > 0) {
      fact(list, "Walls", ...walls.slice(0, 8).flatMap((wall, i) =>
        [i === 0 ? "" : " ", button(nameOf(wall), () => this.onWalls([wall]), "quiet")]));
    }
    finding.source.slice(0, 4).forEach((s, i) => fact(list, i === 0 ? "Drawn as" : "", element("code", s.entity), " on ", isolated(s.layer)));
    if (finding.source.length > 4) fact(list, "", `and ${finding.source.length - 4} more`);
    const box = classed(`finding ${finding.severity}`, element("article", null, head, element("p", null, isolated(finding.message)), list));
    const misses = this.work.plan.near_misses.filter((m) => finding.at && Math.hypot(m.from[0] - finding.at[0], m.from[1] - finding.at[1]) < 0.5);
    if (misses.length > 0) box.append(button("Close the gap", () => this.onAccept(misses)));
    const why = element("details", null, element("summary", "Why"));
    why.addEventListener("toggle", () => why.open && void this.explain(why, finding.code));
    box.append(why, this.tick(finding));
    return [box];
  }

  private tick(finding: Finding): HTMLElement {
    const box = check("Looked at", finding.looked_at, (on) => {
      finding.looked_at = on;
      Api.lookedAt(this.work.job.id, finding.key, on).then(() => {
        this.draw();
        this.onTicked();
      }, (e: unknown) => {
        finding.looked_at = !on;
        this.draw();
        this.work.onTrouble(refusalOf(e));
      });
    });
    (box.firstElementChild as HTMLElement).dataset.key = "ticked";
    return box;
  }

  private async explain(into: HTMLElement, code: string): Promise<void> {
    if (into.children.length > 1) return;
    try {
      this.codes ??= await Api.codes();
      const known = this.codes.codes.find((c) => c.code === code);
      into.append(element("p", known?.meaning ?? "Nothing more is known of it."));
      if (known) into.append(classed("rule", element("p", null, element("b", "Rule: "), known.rule)));
    } catch (e) {
      into.append(element("p", refusalOf(e).message));
    }
  }

  private list(): HTMLElement {
    const { order } = this;
    const from = Math.max(0, Math.min((this.at === null ? 0 : order.indexOf(this.at)) - LISTED / 2, order.length - LISTED));
    const items = order.slice(from, from + LISTED).map((i) => {
      const finding = this.all[i];
      const row = button("", () => this.show(i, true), "finding-row");
      if (finding) {
        row.append(badge(finding.severity), classed("spoken", element("span", `${finding.severity} `)), element("b", ` ${i + 1} `),
          finding.title, finding.looked_at ? " ✓" : "");
        row.setAttribute("aria-pressed", String(i === this.at));
      }
      row.dataset.key = `f ${i}`;
      return element("li", null, row);
    });
    const list = classed("finding-list", element("ol", null, ...items));
    return order.length > LISTED ? element("div", null, list, element("p", `${LISTED} of ${order.length} listed, about the one that is shown.`)) : list;
  }
}
