// A new revision of the drawing, and what changed between two plans.

import { element, isolated } from "../viewer/dom";
import * as Api from "./api";
import { button, choice, classed, link, refusalOf, trouble } from "./controls";
import type { Job } from "./kinds";
import { moment } from "./words";
import type { Work } from "./work";

export class ComparePanel {
  readonly root = element("section");
  onRevision = (_files: File[]): void => {};
  private readonly work: Work;
  private old: string | null;
  private jobs: Job[] = [];
  private readonly result = element("div");

  constructor(work: Work) {
    this.work = work;
    this.old = work.job.revision_of;
    this.result.setAttribute("aria-live", "polite");
  }

  async load(): Promise<void> {
    try {
      const { jobs } = await Api.jobs();
      this.jobs = jobs.filter((j) => j.id !== this.work.job.id && j.state === "done");
      this.draw();
      if (this.jobs.some((j) => j.id === this.work.job.revision_of) && this.result.childElementCount === 0) await this.compare();
    } catch (e) {
      this.root.replaceChildren(element("h2", "Revisions"), trouble(refusalOf(e)));
    }
  }

  private draw(): void {
    const input = element("input");
    input.type = "file";
    input.accept = ".dxf,.ifc,.ifczip";
    input.className = "away";
    input.addEventListener("change", () => {
      if (input.files && input.files.length > 0) this.onRevision([...input.files]);
    });
    this.root.replaceChildren(
      element("h2", "Revisions"),
      element("p", "A new revision of this drawing takes over its names, its settings and every edit that still fits."),
      button("Choose the new revision…", () => input.click()), input,
      element("h3", "Compare with an older plan"),
    );
    if (this.jobs.length === 0) {
      this.root.append(element("p", "There is no other plan to compare with."));
      return;
    }
    if (!this.jobs.some((j) => j.id === this.old)) this.old = this.jobs[0]?.id ?? null;
    this.root.append(
      choice("Older plan", this.jobs.map((j) => [j.id, `${j.file}, ${moment(j.uploaded_at)}`] as const), this.old ?? "", (id) => (this.old = id)),
      button("Compare", () => void this.compare()), this.result);
  }

  async compare(): Promise<void> {
    const old = this.jobs.find((j) => j.id === this.old);
    if (!old) return;
    const { job } = this.work;
    this.result.replaceChildren(element("p", "Comparing…"));
    try {
      const { same, text } = await Api.compare(job.id, old.id);
      const picture = classed("changes", element("img"));
      picture.src = Api.changesAt(job.id, old.id);
      picture.alt = `The plates of both plans, what changed drawn out: ${text.slice(0, 3).join(" ")}`;
      picture.addEventListener("error", () => picture.replaceWith(element("p", "There is no picture of it.")));
      const whole = link("Open the picture", Api.changesAt(job.id, old.id));
      whole.target = "_blank";
      this.result.replaceChildren(
        element("h3", null, same ? "The same plates as in " : "What changed since ", isolated(old.file)),
        classed("changes-text", element("div", null, ...text.map((line) => element("p", null, isolated(line))))),
        ...(same ? [] : [picture, element("p", null, whole)]),
      );
    } catch (e) {
      this.result.replaceChildren(trouble(refusalOf(e)));
    }
  }
}
