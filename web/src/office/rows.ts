// A list whose rows are made anew only when what they say has changed, so that a row under the pointer
// or in focus stays where it is while others come and go.

export class Rows<T> {
  private readonly list: HTMLElement;
  private readonly keyOf: (item: T) => string;
  private readonly said: (item: T) => string;
  private readonly make: (item: T) => HTMLElement;
  private made = new Map<string, { said: string; row: HTMLElement }>();

  // `said` is all that a row tells, put together.
  constructor(list: HTMLElement, keyOf: (item: T) => string, said: (item: T) => string, make: (item: T) => HTMLElement) {
    [this.list, this.keyOf, this.said, this.make] = [list, keyOf, said, make];
  }

  show(items: readonly T[]): void {
    const next = new Map<string, { said: string; row: HTMLElement }>();
    for (const item of items) {
      const [key, said] = [this.keyOf(item), this.said(item)];
      const old = this.made.get(key);
      next.set(key, old?.said === said ? old : { said, row: this.make(item) });
    }
    for (const [key, { row }] of this.made) {
      const its = next.get(key)?.row;
      if (!its) row.remove();
      else if (its !== row) row.replaceWith(its);
    }
    this.made = next;
    [...next.values()].forEach(({ row }, i) => {
      if (this.list.children[i] !== row) this.list.insertBefore(row, this.list.children[i] ?? null);
    });
  }

  row(key: string): HTMLElement | undefined {
    return this.made.get(key)?.row;
  }
}
