// Controls that are drawn anew keep the focus: each has a name (`data-key`) that outlives it.

export const keyOfFocus = (within: HTMLElement): string | null => {
  const { activeElement } = document;
  return activeElement instanceof HTMLElement && within.contains(activeElement) ? (activeElement.dataset.key ?? null) : null;
};
export const focusKey = (within: HTMLElement, key: string | null): void => {
  if (key === null) return;
  for (const e of within.querySelectorAll<HTMLElement>("[data-key]")) if (e.dataset.key === key) return e.focus({ preventScroll: true });
};
