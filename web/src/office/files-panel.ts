// What is to be taken away: every file, the zip of all, the edits for the command line; and the names
// and paper they are made with.

import { element, isolated } from "../viewer/dom";
import * as Api from "./api";
import { button, choice, classed, fact, field, labelled, link, refusalOf, trouble, type Choice } from "./controls";
import type { Files, JobNames, Paper } from "./kinds";
import { bytes } from "./words";
import type { Work } from "./work";

export class FilesPanel {
  readonly root = element("section");
  private readonly work: Work;
  private readonly papers: readonly Choice[];
  private readonly list = element("div");
  private asked = 0;
  private readonly settingsBox: HTMLElement;

  constructor(work: Work, papers: readonly Choice[]) {
    [this.work, this.papers] = [work, papers];
    this.list.setAttribute("aria-live", "polite");
    this.settingsBox = this.settings();
    this.draw();
  }

  draw(): void {
    const { job, plan } = this.work;
    const list = element("dl");
    for (const l of plan.lumber) {
      fact(list, l.lumber, `${l.boards} boards to buy, ${l.bought_text}${l.on_hand > 0 ? `, ${l.on_hand} on hand` : ""}; ${l.used_text} used`);
    }
    const change = (names: JobNames) => {
      Api.names(job.id, names).then(async () => {
        await this.work.reload();
        this.draw();
        await this.load();
      }, (e: unknown) => this.work.onTrouble(refusalOf(e)));
      return null;
    };
    this.root.replaceChildren(
      element("h2", "Files"),
      classed("controls", element("div", null,
        field("Project", job.project, "none", (project) => change({ project: project.trim() })),
        field("Lot", job.lot, "none", (lot) => change({ lot: lot.trim() })),
        choice("Paper of the sheets", this.papers, job.paper, (paper) => void change({ paper: paper as Paper })))),
      this.list,
      this.settingsBox,
      ...(plan.lumber.length > 0 ? [element("h3", "Boards"), list] : []),
      element("h3", "Proved"),
      classed("proof", element("ul", null, ...plan.checked.map((c) => {
        const item = element("li", `${c.breaches === 0 ? "✓" : "✗"} ${c.what}: ${c.looked_at} looked at${c.breaches === 0 ? "" : `, ${c.breaches} broken`}`);
        item.className = c.breaches === 0 ? "" : "broken";
        return item;
      }))),
      element("h3", "Cautions"),
      classed("cautions", element("ul", null, ...CAUTIONS.map((words) => element("li", words)))),
    );
  }

  // The settings file of this drawing, as the command line reads it: rules, stock, prices, clearances.
  private settings(): HTMLElement {
    const text = element("textarea");
    text.rows = 14;
    text.spellcheck = false;
    const said = element("div");
    said.setAttribute("role", "status");
    let edition = 0;
    const save = button("Save and plan again", () => {
      said.replaceChildren(element("p", "Planning…"));
      Api.putSettings(this.work.job.id, edition, text.value).then(async (plan) => {
        edition = plan.edition;
        await this.work.reload(plan);
        said.replaceChildren(element("p", "Saved, and planned again."));
      }, (e: unknown) => said.replaceChildren(trouble(refusalOf(e))));
    });
    const label = labelled("TOML, as described in README", text);
    const box = classed("settings", element("details", null, element("summary", "Settings: rules, stock, prices"), label, save, said));
    box.addEventListener("toggle", () => {
      if (!box.open) return;
      Api.settings(this.work.job.id).then((now) => {
        [edition, text.value] = [now.edition, now.toml];
      }, (e: unknown) => said.replaceChildren(trouble(refusalOf(e))));
    });
    return box;
  }

  // Files are made when they are first asked for, which takes a moment.
  async load(): Promise<void> {
    const { job, plan } = this.work;
    if (!plan.planned) {
      this.list.replaceChildren(element("p", "There is no plan, so there are no files. See Findings for the reasons."));
      return;
    }
    const mine = ++this.asked;
    this.list.replaceChildren(element("p", "The files are being made…"));
    try {
      const files = await Api.files(job.id);
      if (mine === this.asked) this.show(files);
    } catch (e) {
      if (mine !== this.asked) return;
      this.list.replaceChildren(trouble(refusalOf(e)), button("Try again", () => void this.load()));
    }
  }
  get isShown(): boolean {
    return this.asked > 0;
  }

  private show({ files, zip }: Files): void {
    const { job } = this.work;
    const rows = files.map((f) => {
      const name = link("", Api.fileAt(job.id, f.name), true);
      name.append(isolated(f.name));
      return element("li", null, name, ` ${f.what} `, element("small", bytes(f.bytes)));
    });
    const all = classed("all", link("", Api.zipAt(job.id), true));
    all.append("All files in one zip ", element("small", null, isolated(zip)));
    const edits = link("", Api.overridesFileAt(job.id), true);
    edits.append("overrides.toml");
    this.list.replaceChildren(all, classed("files", element("ul", null, ...rows, element("li", null, edits,
      " the edits made here; the same plan on the command line with platewright plan --overrides"))));
  }
}

// What the report prints, in short; it has the sources.
const CAUTIONS = [
  "This plan is an aid, not a design: local code, the stamped drawings and the building official decide.",
  "Check the slab or deck against the plan before cutting.",
  "Brace a raised wall before letting go, and leave the braces until the corners are tied.",
  "Set upper plates from ladders or scaffolds; never stand or walk on plates.",
  "Saws: guard working, hands out of the line of a plunge cut. Eye and ear protection near nailers.",
];
