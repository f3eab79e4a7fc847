// The page's small parts: buttons, choices, fields, messages. Knows nothing of plans.

import { element, type Content } from "../viewer/dom";
import { Refused } from "./api";

export const button = (words: string, act: () => void, kind = ""): HTMLButtonElement => {
  const made = element("button", words);
  made.type = "button";
  made.className = kind;
  made.addEventListener("click", act);
  return made;
};

export const link = (words: string, address: string, download = false): HTMLAnchorElement => {
  const made = element("a", words);
  made.href = address;
  if (download) made.download = "";
  return made;
};

export type Choice = readonly [value: string, words: string];

// A list to choose from, under its own words.
export const choice = (
  words: string,
  choices: readonly Choice[],
  value: string,
  chosen: (value: string) => void,
): HTMLElement => {
  const select = element("select");
  for (const [its, its_words] of choices) {
    const option = element("option", its_words);
    option.value = its;
    option.selected = its === value;
    select.append(option);
  }
  select.addEventListener("change", () => chosen(select.value));
  return labelled(words, select);
};

let fields = 0;
export const labelled = (words: string, control: HTMLElement): HTMLElement => {
  const label = element("label", words);
  control.id = label.htmlFor = `field-${++fields}`;
  return classed("field", element("div", null, label, control));
};

export const check = (words: string, on: boolean, changed: (on: boolean) => void): HTMLLabelElement => {
  const box = element("input");
  box.type = "checkbox";
  box.checked = on;
  box.addEventListener("change", () => changed(box.checked));
  const made = element("label", null, box, ` ${words}`);
  made.className = "check";
  return made;
};

// A field whose text means something only when it is whole: told on Enter or when it is left.
export const field = (words: string, value: string, hint: string, done: (text: string) => string | null): HTMLElement => {
  const input = element("input");
  input.type = "text";
  input.value = value;
  input.placeholder = hint;
  input.autocomplete = "off";
  input.spellcheck = false;
  const said = element("small");
  said.className = "complaint";
  said.setAttribute("role", "alert");
  input.addEventListener("change", () => {
    const complaint = done(input.value);
    said.textContent = complaint ?? "";
    input.setAttribute("aria-invalid", String(complaint !== null));
  });
  const made = labelled(words, input);
  made.append(said);
  return made;
};

export const classed = <E extends Element>(name: string, made: E): E => {
  made.setAttribute("class", name);
  return made;
};

// A pair of word and value for a list of facts.
export const fact = (list: HTMLElement, word: string, ...content: Content[]): void => {
  const dd = element("dd", null, ...content);
  list.append(element("dt", word), dd);
};

export const refusalOf = (e: unknown): Refused =>
  e instanceof Refused ? e
  : new Refused(0, "page-error", `The page made a mistake: ${e instanceof Error ? e.message : String(e)}.`, "Load the page again.");

// What went wrong, and what to do about it.
export const trouble = (e: Refused): HTMLElement =>
  classed("trouble", element("div", null, element("p", e.message), element("p", e.whatToDo)));

// Asks before something is lost.
export const confirmed = (title: string, words: string, yes: string, act: () => void): void => {
  const dialog = element("dialog");
  const [heading, text] = [element("h2", title), element("p", words)];
  heading.id = "asked";
  text.id = "asked-why";
  dialog.setAttribute("aria-labelledby", heading.id);
  dialog.setAttribute("aria-describedby", text.id);
  const row = element("div", null,
    button("Keep it", () => dialog.close()),
    button(yes, () => {
      dialog.close();
      act();
    }, "grave"));
  row.className = "actions";
  dialog.append(heading, text, row);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
};
