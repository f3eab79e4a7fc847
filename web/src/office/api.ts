// Calls to the server. Knows: addresses, statuses, what a refusal looks like; nothing of the page.
// `docs/office-api.md` and `crates/office/openapi.json` say what each call does.

import type {
  About, Codes, Comparison, Drawing, Files, Job, JobNames, Jobs, LookedAt, Overrides, OverridesNow, Plan, Problem,
  Reading, SettingsNow, Uploaded,
} from "./schema";

// What went wrong, in words for people. Status 0: there was no answer at all.
export class Refused extends Error {
  readonly status: number;
  readonly code: string;
  readonly whatToDo: string;
  constructor(status: number, code: string, message: string, whatToDo: string) {
    super(message);
    this.status = status;
    this.code = code;
    this.whatToDo = whatToDo;
  }
}

const GONE = new Refused(0, "server-gone", "The server does not answer.",
  "Start “platewright serve” again. What the server has confirmed is kept on disk; this page goes on by itself.");
const strange = (status: number) => new Refused(status, "strange-answer",
  `The server gave an answer that this page does not understand (status ${status}).`,
  "Load the page again: the program may have been replaced by another version.");

const isProblem = (value: unknown): value is Problem =>
  typeof value === "object" && value !== null && "message" in value && "what_to_do" in value;

export const refusalOf = (status: number, text: string): Refused => {
  try {
    const said: unknown = JSON.parse(text);
    if (isProblem(said)) return new Refused(status, said.code, said.message, said.what_to_do);
  } catch {
    // no JSON: something between us and the server answered
  }
  return status === 0 ? GONE : strange(status);
};

const ask = async <T>(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<T> => {
  let answer: Response;
  let text: string;
  try {
    answer = await fetch(path, {
      method,
      ...(signal ? { signal } : {}),
      ...(body === undefined ? {} : { body: JSON.stringify(body), headers: { "content-type": "application/json" } }),
    });
    text = await answer.text();
  } catch (e) {
    if (signal?.aborted) throw e;
    throw GONE;
  }
  if (!answer.ok) throw refusalOf(answer.status, text);
  if (answer.status === 204) return undefined as T;
  try {
    return JSON.parse(text) as T;
  } catch {
    throw strange(answer.status);
  }
};

const of = (id: string, rest = "") => `/api/jobs/${encodeURIComponent(id)}${rest}`;

export const about = () => ask<About>("GET", "/api/about");
export const codes = () => ask<Codes>("GET", "/api/codes");
export const jobs = () => ask<Jobs>("GET", "/api/jobs");
export const job = (id: string) => ask<Job>("GET", of(id));
export const names = (id: string, names: JobNames) => ask<Job>("PATCH", of(id), names);
export const remove = (id: string) => ask<undefined>("DELETE", of(id));
export const cancel = (id: string) => ask<Job>("POST", of(id, "/cancel"));
export const again = (id: string) => ask<Job>("POST", of(id, "/again"));
export const drawing = (id: string) => ask<Drawing>("GET", of(id, "/drawing"));
export const reading = (id: string) => ask<Reading>("GET", of(id, "/reading"));
export const plan = (id: string) => ask<Plan>("GET", of(id, "/plan"));
export const overrides = (id: string) => ask<OverridesNow>("GET", of(id, "/overrides"));
export const putOverrides = (id: string, edition: number, overrides: Overrides) =>
  ask<Plan>("PUT", of(id, "/overrides"), { edition, overrides });
export const settings = (id: string) => ask<SettingsNow>("GET", of(id, "/settings"));
export const putSettings = (id: string, edition: number, toml: string) =>
  ask<Plan>("PUT", of(id, "/settings"), { edition, toml });
export const lookedAt = (id: string, key: string, looked_at: boolean) =>
  ask<LookedAt>("PUT", of(id, `/findings/${encodeURIComponent(key)}`), { looked_at });
export const files = (id: string) => ask<Files>("GET", of(id, "/files"));
export const compare = (id: string, old: string) => ask<Comparison>("GET", of(id, `/compare/${encodeURIComponent(old)}`));

// Addresses that are links or pictures.
export const fileAt = (id: string, name: string) => of(id, `/files/${encodeURIComponent(name)}`);
export const zipAt = (id: string) => of(id, "/zip");
export const overridesFileAt = (id: string) => of(id, "/overrides.toml");
export const changesAt = (id: string, old: string) => of(id, `/compare/${encodeURIComponent(old)}/changes.svg`);

export interface Sending {
  done: Promise<Uploaded>;
  stop: () => void;
}

// Sends a file; `told` hears the share that is on its way, 0 to 1. `fetch` cannot tell of that.
export const send = (
  file: File,
  more: { revision_of?: string; again?: boolean },
  told: (share: number) => void,
): Sending => {
  const request = new XMLHttpRequest();
  const query = new URLSearchParams({ name: file.name });
  if (more.revision_of) query.set("revision_of", more.revision_of);
  if (more.again) query.set("again", "true");
  const done = new Promise<Uploaded>((resolve, reject) => {
    request.open("POST", `/api/jobs?${query}`);
    request.setRequestHeader("content-type", "application/octet-stream");
    request.upload.onprogress = (e) => e.lengthComputable && told(e.loaded / e.total);
    request.onload = () => {
      if (request.status < 200 || request.status >= 300) return reject(refusalOf(request.status, request.responseText));
      try {
        resolve(JSON.parse(request.responseText) as Uploaded);
      } catch {
        reject(strange(request.status));
      }
    };
    request.onerror = () => reject(GONE);
    request.onabort = () => reject(new Refused(0, "stopped", "You stopped this upload.", "Nothing was kept of it."));
    request.send(file);
  });
  return { done, stop: () => request.abort() };
};
