// The office page: turns addresses into pages, keeps an eye on the server, takes files dropped anywhere.
//
// `#/` is the list, `#/job/ID` a drawing. Nothing is kept here that the server does not have, but for
// what can be undone.

import { element, isolated, need } from "../viewer/dom";
import * as Api from "./api";
import type { Refused } from "./api";
import { button, classed, link, refusalOf, trouble } from "./controls";
import { desk } from "./desk";
import { Home, isRunning, progress, stateWords } from "./home";
import type { About, Job } from "./kinds";
import { Uploads } from "./uploads";
import { Work } from "./work";

const WHILE_WORKING = 500; // milliseconds between two looks at the list
const AT_REST = 3000;
const WHILE_GONE = 1000;

const main = need<HTMLElement>(document, "main");
const gone = need<HTMLElement>(document, "#gone");
const spoken = need<HTMLElement>(document, "#spoken");
const say = (words: string): void => {
  spoken.textContent = words;
};
const pause = (millis: number) => new Promise((done) => setTimeout(done, millis));

// Tells of a server that does not answer, until it does again.
const answers = (e: Refused | null): void => {
  const is = e !== null && e.status === 0;
  if (is === !gone.hidden) return;
  gone.hidden = !is;
  gone.replaceChildren(...(is && e ? [element("b", e.message), ` ${e.whatToDo}`] : []));
};

class Office {
  private readonly about: About;
  private readonly uploads: Uploads;
  private readonly home: Home;
  private shown = 0; // goes up with every page turned to, so that a late answer knows it is late
  private jobs: Job[] = [];
  private looking: number | undefined;

  constructor(about: About) {
    this.about = about;
    this.uploads = new Uploads(about.limits);
    this.home = new Home(about, this.uploads);
    this.uploads.onChange = () => this.home.drawSending();
    this.uploads.onJob = (u) => {
      say(u.told.join(" ") || `${u.file.name} has arrived`);
      if (u.revisionOf !== null && u.state === "sent" && u.job) location.hash = `#/job/${u.job.id}`;
      this.look();
    };
    this.home.onChanged = () => this.look();
    addEventListener("hashchange", () => void this.turn());
    this.takeDrops();
    this.look();
    void this.turn();
  }

  // Looks at the list now and again: often while something works, seldom else.
  private look(): void {
    clearTimeout(this.looking);
    let next = AT_REST;
    Api.jobs().then(({ jobs }) => {
      answers(null);
      for (const job of jobs) {
        const before = this.jobs.find((j) => j.id === job.id);
        if (before && isRunning(before) && !isRunning(job)) say(`${job.file}: ${stateWords(job)}`);
      }
      this.jobs = jobs;
      this.home.take(jobs);
      if (jobs.some(isRunning) || this.uploads.isBusy) next = WHILE_WORKING;
    }, (e: unknown) => {
      answers(refusalOf(e));
      next = WHILE_GONE;
    }).finally(() => {
      clearTimeout(this.looking);
      this.looking = window.setTimeout(() => this.look(), next);
    });
  }

  private async turn(): Promise<void> {
    const mine = ++this.shown;
    const id = /^#\/job\/([\w-]+)$/.exec(location.hash)?.[1];
    if (id === undefined) {
      document.title = "platewright office";
      return this.put(this.home.root);
    }
    try {
      await this.open(id, mine);
    } catch (e) {
      if (mine === this.shown) this.put(this.page("This drawing cannot be opened", trouble(refusalOf(e)), button("Try again", () => void this.turn())));
    }
  }

  private async open(id: string, mine: number): Promise<void> {
    let job = await Api.job(id);
    document.title = `${job.file} · platewright office`;
    while (isRunning(job)) {
      if (mine !== this.shown) return;
      const share = job.state === "working" && job.steps > 0 ? job.step / job.steps : null;
      this.put(this.page(job.file, element("p", `${stateWords(job)}…`), progress(stateWords(job), share),
        button("Stop", () => void Api.cancel(id).catch((e: unknown) => answers(refusalOf(e))))));
      await pause(WHILE_WORKING / 2);
      job = await Api.job(id);
    }
    if (mine !== this.shown) return;
    if (job.state === "failed" || job.state === "cancelled") return this.put(this.stopped(job));
    this.put(this.page(job.file, element("p", "Opening…")));
    const work = await Work.open(job);
    if (mine !== this.shown) return;
    this.put(desk(work, this.about, say, (files) => {
      this.uploads.add(files, job.id);
      location.hash = "#/";
    }));
  }

  private stopped(job: Job): HTMLElement {
    const again = () => void Api.again(job.id).then(() => this.turn(), (e: unknown) => answers(refusalOf(e)));
    return this.page(job.file, element("p", job.state === "failed" ? "Planning failed; the drawing and its edits are kept." : "Planning was stopped; the drawing and its edits are kept."),
      ...(job.message ? [classed("trouble", element("div", null, element("p", null, isolated(job.message))))] : []), button("Try again", again));
  }

  private page(title: string, ...content: HTMLElement[]): HTMLElement {
    return classed("plain", element("div", null, element("p", null, link("← All drawings", "#/")), element("h1", null, isolated(title)), ...content));
  }

  private put(page: HTMLElement): void {
    const moved = main.firstElementChild !== page;
    const was = main.querySelector("h1")?.textContent;
    main.replaceChildren(page);
    const heading = page.querySelector("h1");
    if (!moved || !heading || was === undefined || was === heading.textContent) return;
    heading.tabIndex = -1;
    heading.focus({ preventScroll: true });
    scrollTo(0, 0);
  }

  private takeDrops(): void {
    const zone = () => this.home.root.querySelector(".drop");
    addEventListener("dragover", (e) => {
      if (!e.dataTransfer?.types.includes("Files")) return;
      e.preventDefault();
      zone()?.classList.add("over");
    });
    addEventListener("dragleave", (e) => {
      if (e.relatedTarget === null) zone()?.classList.remove("over");
    });
    addEventListener("drop", (e) => {
      if (!e.dataTransfer?.types.includes("Files")) return;
      e.preventDefault();
      zone()?.classList.remove("over");
      this.uploads.add([...e.dataTransfer.files]);
      if (location.hash !== "#/" && location.hash !== "") location.hash = "#/";
    });
    addEventListener("beforeunload", (e) => {
      if (this.uploads.isBusy) e.preventDefault();
    });
  }
}

const start = async (): Promise<void> => {
  for (;;) {
    try {
      new Office(await Api.about());
      return;
    } catch (e) {
      const refused = refusalOf(e);
      answers(refused);
      if (refused.status !== 0) return main.replaceChildren(trouble(refused));
      await pause(WHILE_GONE);
    }
  }
};
void start();
