// One drawing that is open: what the server last said of it, and the edits, one after the other.
//
// An edit is a function of the overrides and the plan it is made on. Edits wait for each other, so that
// each sees the answer to the one before; undo and redo put older overrides back.

import * as Api from "./api";
import { refusalOf } from "./controls";
import { same } from "./edits";
import type { Refused } from "./api";
import type { Drawing, Job, Overrides, Plan, Reading } from "./schema";

export type Edit = (overrides: Overrides, plan: Plan) => Overrides;
interface Asked {
  words: string;
  edit: Edit;
  way: "edit" | "undo" | "redo";
  began: number;
}
interface Step {
  words: string;
  overrides: Overrides;
}

const KEPT = 200; // steps that can be undone

export class Work {
  job: Job;
  drawing: Drawing;
  reading: Reading;
  plan: Plan;
  overrides: Overrides;
  private edition: number;
  private readonly undone: Step[] = [];
  private readonly done: Step[] = [];
  private readonly asked: Asked[] = [];
  private running = false;
  onPlan = (): void => {}; // plan, overrides or both have changed: draw them
  onReading = (): void => {};
  onDrawing = (): void => {};
  onBusy = (_busy: boolean): void => {};
  onDone = (_words: string, _millis: number): void => {};
  onTrouble = (_e: Refused): void => {};

  private constructor(job: Job, drawing: Drawing, reading: Reading, plan: Plan, overrides: Overrides, edition: number) {
    [this.job, this.drawing, this.reading] = [job, drawing, reading];
    [this.plan, this.overrides, this.edition] = [plan, overrides, edition];
  }

  static async open(job: Job): Promise<Work> {
    const [drawing, reading, plan, now] = await Promise.all([
      Api.drawing(job.id), Api.reading(job.id), Api.plan(job.id), Api.overrides(job.id),
    ]);
    return new Work(job, drawing, reading, plan, now.overrides, now.edition);
  }

  get canUndo(): string | null {
    return this.done.at(-1)?.words ?? null;
  }
  get canRedo(): string | null {
    return this.undone.at(-1)?.words ?? null;
  }
  get busy(): boolean {
    return this.running;
  }

  edit(words: string, edit: Edit): void {
    this.ask({ words, edit, way: "edit", began: performance.now() });
  }
  undo(): void {
    this.ask({ words: "undone", edit: (o) => this.done.at(-1)?.overrides ?? o, way: "undo", began: performance.now() });
  }
  redo(): void {
    this.ask({ words: "done again", edit: (o) => this.undone.at(-1)?.overrides ?? o, way: "redo", began: performance.now() });
  }

  // Everything anew, after something else than an edit changed it.
  async reload(plan?: Plan): Promise<void> {
    const [reading, now, next, job] = await Promise.all([
      Api.reading(this.job.id), Api.overrides(this.job.id), plan ?? Api.plan(this.job.id), Api.job(this.job.id),
    ]);
    const drawing = sameFrame(this.drawing, next) ? this.drawing : await Api.drawing(this.job.id);
    [this.reading, this.overrides, this.edition, this.job] = [reading, now.overrides, now.edition, job];
    this.take(next, drawing);
    this.onReading();
  }

  private ask(asked: Asked): void {
    this.asked.push(asked);
    if (!this.running) void this.run();
  }

  private async run(): Promise<void> {
    this.running = true;
    this.onBusy(true);
    for (let next = this.asked.shift(); next; next = this.asked.shift()) {
      try {
        await this.one(next);
      } catch (e) {
        this.asked.length = 0; // they were made on what is not so
        const refused = refusalOf(e);
        this.onTrouble(refused);
        if (refused.status === 409) await this.reload().catch(() => {});
        else this.onPlan(); // controls show again what holds
      }
    }
    this.running = false;
    this.onBusy(false);
  }

  private async one({ words, edit, way, began }: Asked): Promise<void> {
    const before = this.overrides;
    const after = edit(before, this.plan);
    if (way === "edit" && same(before, after)) return;
    if (way === "undo" && this.done.length === 0) return;
    if (way === "redo" && this.undone.length === 0) return;
    const plan = await Api.putOverrides(this.job.id, this.edition, after);
    this.edition = plan.edition;
    this.overrides = after;
    const step = (way === "edit" ? null : way === "undo" ? this.done.pop() : this.undone.pop())?.words ?? words;
    (way === "undo" ? this.undone : this.done).push({ words: step, overrides: before });
    if (way === "edit") this.undone.length = 0;
    if (this.done.length > KEPT) this.done.shift();
    const drawing = sameFrame(this.drawing, plan) ? this.drawing : await Api.drawing(this.job.id);
    this.take(plan, drawing);
    this.onDone(way === "edit" ? words : `${step}: ${words}`, performance.now() - began);
    // To the end of the frame in which it is seen, for whoever measures.
    requestAnimationFrame(() => setTimeout(() => performance.measure("edit-to-redraw", { start: began, end: performance.now() })));
    if (plan.reading_changed) {
      this.reading = await Api.reading(this.job.id);
      this.onReading();
    }
  }

  private take(plan: Plan, drawing: Drawing): void {
    const redraw = drawing !== this.drawing;
    [this.plan, this.drawing] = [plan, drawing];
    if (redraw) this.onDrawing();
    this.onPlan();
  }
}

const sameFrame = (drawing: Drawing, plan: Plan): boolean =>
  drawing.frame.inches_per_unit === plan.frame.inches_per_unit && drawing.frame.mirror === plan.frame.mirror;
