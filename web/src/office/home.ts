// The first page: where drawings are dropped, what is on its way, and all plans there are.

import { drawn, element, isolated, plural } from "../viewer/dom";
import * as Api from "./api";
import { button, classed, confirmed, labelled, link, refusalOf, trouble } from "./controls";
import type { About, Job } from "./kinds";
import { badge } from "./picture";
import { Rows } from "./rows";
import type { Upload, Uploads } from "./uploads";
import { bytes, moment } from "./words";

const FIND_FROM = 8; // plans from which a field to find one is worth its place

const HOPELESS = ["too-large", "wrong-type", "empty"]; // another try would end the same

const STATES: Record<Job["state"], string> = {
  waiting: "waits its turn", working: "being planned", done: "planned", refused: "no plan yet", failed: "failed", cancelled: "stopped",
};
const STAGES: Record<NonNullable<Job["stage"]>, string> = { reading: "reading the drawing", planning: "planning the plates", writing: "writing the files" };

export const stateWords = (job: Job): string => {
  if (job.state === "working" && job.stage) return STAGES[job.stage];
  if (job.state === "waiting" && job.ahead > 0) return `waits for ${plural(job.ahead, "other drawing")}`;
  return STATES[job.state];
};
export const isRunning = (job: Job): boolean => job.state === "waiting" || job.state === "working";

export const progress = (words: string, share: number | null): HTMLProgressElement => {
  const bar = element("progress");
  bar.max = 1;
  if (share !== null) bar.value = share;
  bar.setAttribute("aria-label", words);
  return bar;
};

export class Home {
  readonly root = classed("home", element("div"));
  onChanged = (): void => {}; // a job was asked to change: ask for the list again
  private readonly uploads: Uploads;
  private readonly sending = classed("sending", element("section"));
  private readonly complaint = element("div");
  private readonly told = element("p");
  private readonly finder: HTMLElement;
  private readonly uploadRows: Rows<Upload>;
  private readonly jobRows: Rows<Job>;
  private names: ReadonlyMap<string, string> = new Map();
  private jobs: Job[] | null = null;
  private wanted = "";
  private trouble: Api.Refused | null = null;

  constructor(about: About, uploads: Uploads) {
    this.uploads = uploads;
    const input = element("input");
    input.type = "file";
    input.multiple = true;
    input.id = "choose";
    input.accept = ".dxf,.ifc,.ifczip";
    input.addEventListener("change", () => {
      uploads.add([...(input.files ?? [])]);
      input.value = "";
    });
    const label = element("label", null, element("b", "Choose drawings"));
    label.htmlFor = input.id;
    const arrow = drawn("svg", { viewBox: "0 0 48 36", "aria-hidden": "true" });
    arrow.append(drawn("path", { d: "M4 22V32H44V22M24 4V24M15 15L24 24L33 15" }));
    const zone = classed("drop", element("section", null, arrow,
      element("h2", "Drop drawings here"),
      element("p", null, "DXF or IFC, one or many, up to ", element("b", bytes(about.limits.upload_bytes)), " each"),
      input, label));
    const [onTheirWay, jobs] = [element("ul"), classed("jobs", element("ul"))];
    this.uploadRows = new Rows(onTheirWay, (u) => String(u.id), (u) => `${u.state} ${u.told.join()} ${u.trouble?.message ?? ""}`, (u) => this.upload(u));
    this.jobRows = new Rows(jobs, (job) => job.id, (job) => JSON.stringify([job, this.names.get(job.revision_of ?? "")]), (job) => this.job(job));
    this.sending.append(element("h2", "On their way"), onTheirWay);
    this.finder = this.field();
    const plans = classed("plans", element("section", null, element("h2", "Plans"), this.complaint, this.finder, this.told, jobs));
    this.root.append(
      element("h1", "Plate plans from drawings"),
      classed("lead", element("p", null,
        "Drop an architect’s drawing. Look at what was read as walls, settle what is doubtful, take away cut lists and sheets. Everything stays on this machine, in ",
        classed("folder", isolated(about.folder)), ".")),
      zone, this.sending, plans);
    this.sending.setAttribute("aria-label", "On their way");
    this.draw();
  }

  take(jobs: Job[]): void {
    this.jobs = jobs;
    this.drawPlans();
  }
  draw(): void {
    this.drawSending();
    this.drawPlans();
  }

  drawSending(): void {
    const shown = this.uploads.all.filter((u) => u.state !== "sent");
    this.sending.hidden = shown.length === 0;
    this.uploadRows.show(shown);
    for (const u of shown) {
      const bar = this.uploadRows.row(String(u.id))?.querySelector("progress");
      if (!bar) continue;
      bar.value = u.share;
      if (bar.nextSibling) bar.nextSibling.textContent = `${Math.round(u.share * 100)} %`;
    }
  }

  private upload(u: Upload): HTMLElement {
    const item = element("li", null, element("b", null, isolated(u.file.name)), ` ${bytes(u.file.size)} `);
    item.className = `upload ${u.state}`;
    const actions = classed("actions", element("div"));
    const forget = button("Dismiss", () => this.uploads.forget(u), "quiet");
    if (u.state === "waiting") item.append("waits");
    if (u.state === "sending") item.append(progress(`Sending ${u.file.name}`, u.share), "0 %");
    if (u.state === "waiting" || u.state === "sending") actions.append(button("Stop", () => this.uploads.stop(u)));
    if (u.state === "there" && u.job) {
      item.append(...(u.told.length > 0 ? u.told : ["This very file is here already. Nothing was added."]).map((t) => element("p", null, isolated(t))));
      actions.append(link("Open it", `#/job/${u.job.id}`), button("Plan it again as another job", () => this.uploads.retry(u, true)), forget);
    }
    if (u.state === "failed" && u.trouble) {
      item.append(trouble(u.trouble));
      if (!HOPELESS.includes(u.trouble.code)) actions.append(button("Try again", () => this.uploads.retry(u)));
      actions.append(forget);
    }
    named(actions, u.file.name);
    item.append(actions);
    return item;
  }

  private drawPlans(): void {
    const { jobs } = this;
    this.complaint.replaceChildren(...(this.trouble ? [trouble(this.trouble)] : []));
    const wanted = this.wanted.trim().toLowerCase();
    const shown = (jobs ?? []).filter((j) => wanted === "" || `${j.file} ${j.project} ${j.lot}`.toLowerCase().includes(wanted));
    this.told.textContent = jobs === null ? "Asking for the list…"
      : jobs.length === 0 ? "None yet. Whatever is dropped stays here until it is deleted."
      : shown.length === 0 ? "None by that name." : "";
    this.finder.hidden = (jobs?.length ?? 0) < FIND_FROM && this.wanted === "";
    this.names = new Map((jobs ?? []).map((j) => [j.id, j.file]));
    this.jobRows.show(shown);
  }

  private field(): HTMLElement {
    const input = element("input");
    input.type = "search";
    input.placeholder = "file, project, lot";
    input.addEventListener("input", () => {
      this.wanted = input.value;
      this.drawPlans();
    });
    return labelled("Find", input);
  }

  private job(job: Job): HTMLElement {
    const item = element("li");
    item.className = `job ${job.state}`;
    item.dataset.job = job.id;
    const name = link("", `#/job/${job.id}`);
    name.append(isolated(job.file));
    const title = element("h3", null, name);
    const state = classed("state", element("span", stateWords(job)));
    const about = [job.project, job.lot && job.lot !== job.file.replace(/\.[^.]*$/, "") ? `Lot ${job.lot}` : "", moment(job.uploaded_at), bytes(job.bytes),
      job.walls === null ? "" : plural(job.walls, "wall"), job.pieces ? plural(job.pieces, "piece") : ""].filter((t) => t !== "");
    item.append(title, state);
    if (isRunning(job)) item.append(progress(`${stateWords(job)}: ${job.file}`, job.state === "working" && job.steps > 0 ? job.step / job.steps : null));
    const facts = classed("about", element("p", null, isolated(about.join(" · "))));
    if (job.findings) {
      for (const severity of ["error", "warning", "note"] as const) {
        const n = job.findings[severity];
        if (n > 0) facts.append(" · ", badge(severity), ` ${plural(n, severity)}`);
      }
    }
    item.append(facts);
    const older = job.revision_of === null ? undefined : this.names.get(job.revision_of);
    if (older !== undefined) item.append(element("p", null, "New revision of ", isolated(older)));
    if (job.message) item.append(classed("said", element("p", null, isolated(job.message))));
    const actions = classed("actions", element("div"));
    if (isRunning(job)) actions.append(button("Stop", () => this.act(Api.cancel(job.id))));
    if (job.state === "failed" || job.state === "cancelled") actions.append(button("Try again", () => this.act(Api.again(job.id))));
    if (job.state === "refused") actions.append(link("Settle it", `#/job/${job.id}`));
    if (!isRunning(job)) {
      actions.append(button("Delete", () => confirmed("Delete this plan?", `${job.file}: the drawing, its edits and its files are deleted from this machine.`,
        "Delete it", () => this.act(Api.remove(job.id))), "quiet"));
    }
    named(actions, job.file);
    item.append(actions);
    return item;
  }

  private act(asked: Promise<unknown>): void {
    asked.then(() => (this.trouble = null), (e: unknown) => (this.trouble = refusalOf(e))).finally(() => {
      this.drawPlans();
      this.onChanged();
    });
  }
}

// Controls of one row, named for who does not see the row.
const named = (actions: HTMLElement, of: string) => {
  for (const control of actions.children) control.setAttribute("aria-label", `${control.textContent}: ${of}`);
};
