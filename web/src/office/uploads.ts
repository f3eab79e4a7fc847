// Files on their way to the server. Knows: how many go at once, what is refused before it is sent, what
// became of each; draws nothing.

import * as Api from "./api";
import { Refused, type Sending } from "./api";
import { refusalOf } from "./controls";
import type { About, Job } from "./kinds";
import { bytes } from "./words";

const AT_ONCE = 3;
const WAIT_IF_MANY = 1500; // milliseconds, when the server has its hands full

export interface Upload {
  readonly id: number;
  readonly file: File;
  readonly revisionOf: string | null;
  again: boolean;
  state: "waiting" | "sending" | "sent" | "there" | "failed";
  share: number;
  told: string[];
  trouble: Refused | null;
  job: Job | null;
}

export class Uploads {
  all: Upload[] = [];
  onChange = (): void => {};
  onJob = (_upload: Upload): void => {};
  private readonly limits: About["limits"];
  private readonly sending = new Map<number, Sending>();
  private next = 1;

  constructor(limits: About["limits"]) {
    this.limits = limits;
  }

  add(files: readonly File[], revisionOf: string | null = null): void {
    for (const file of files) {
      const trouble = this.refusal(file);
      this.all.unshift({
        id: this.next++, file, revisionOf, again: false, state: trouble ? "failed" : "waiting", share: 0, told: [], trouble, job: null,
      });
    }
    this.go();
  }

  // What no server need be asked about.
  private refusal(file: File): Refused | null {
    if (file.size > this.limits.upload_bytes) {
      return new Refused(0, "too-large", `${bytes(file.size)} is more than this server takes (${bytes(this.limits.upload_bytes)}).`,
        "Save the plan alone: purge unused blocks, drop pictures and the other sheets. The server's limit can be set when it is started.");
    }
    if (file.size === 0) {
      return new Refused(0, "empty", "The file is empty, or it is a folder.", "Drop the drawings themselves.");
    }
    return null;
  }

  stop(upload: Upload): void {
    this.sending.get(upload.id)?.stop();
    if (upload.state === "waiting") this.forget(upload);
  }
  forget(upload: Upload): void {
    this.all = this.all.filter((u) => u !== upload);
    this.onChange();
  }
  // Once more: after a failure, or although the same file is there.
  retry(upload: Upload, again = false): void {
    Object.assign(upload, { again, state: "waiting", share: 0, trouble: null, job: null, told: [] });
    this.go();
  }

  get isBusy(): boolean {
    return this.all.some((u) => u.state === "waiting" || u.state === "sending");
  }

  private go(): void {
    // The oldest first: the list has the newest on top.
    for (const upload of this.all.toReversed()) {
      if (this.sending.size >= AT_ONCE) break;
      if (upload.state === "waiting") void this.send(upload);
    }
    this.onChange();
  }

  private async send(upload: Upload): Promise<void> {
    upload.state = "sending";
    const more = { again: upload.again, ...(upload.revisionOf === null ? {} : { revision_of: upload.revisionOf }) };
    const sending = Api.send(upload.file, more, (share) => {
      upload.share = share;
      this.onChange();
    });
    this.sending.set(upload.id, sending);
    try {
      const { job, already_there, told } = await sending.done;
      Object.assign(upload, { job, told, state: already_there ? "there" : "sent", share: 1 });
      this.onJob(upload);
    } catch (e) {
      const trouble = refusalOf(e);
      if (trouble.status === 429) {
        upload.state = "waiting";
        this.sending.delete(upload.id);
        setTimeout(() => this.go(), WAIT_IF_MANY);
        return this.onChange();
      }
      Object.assign(upload, { state: "failed", trouble });
    }
    this.sending.delete(upload.id);
    this.go();
  }
}
