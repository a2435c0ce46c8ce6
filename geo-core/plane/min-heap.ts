/** A binary heap: the least key comes out first, equal keys in the order they went in. */
export type MinHeap<Item> = {
  push(key: number, item: Item): void;
  /** The least key, or undefined when empty. */
  leastKey(): number | undefined;
  pop(): Item | undefined;
};

type Entry<Item> = { readonly key: number; readonly turn: number; readonly item: Item };

export function minHeap<Item>(): MinHeap<Item> {
  const entries: Entry<Item>[] = [];
  let turn = 0;
  const before = (a: Entry<Item>, b: Entry<Item>): boolean => a.key < b.key || (a.key === b.key && a.turn < b.turn);

  function rise(from: number): void {
    const entry = entries[from];
    let at = from;
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if (!before(entry, entries[parent])) break;
      entries[at] = entries[parent];
      at = parent;
    }
    entries[at] = entry;
  }

  function sink(entry: Entry<Item>): void {
    let at = 0;
    while (2 * at + 1 < entries.length) {
      const left = 2 * at + 1;
      const child = left + 1 < entries.length && before(entries[left + 1], entries[left]) ? left + 1 : left;
      if (!before(entries[child], entry)) break;
      entries[at] = entries[child];
      at = child;
    }
    entries[at] = entry;
  }

  return {
    push(key, item) {
      entries.push({ key, turn: turn++, item });
      rise(entries.length - 1);
    },
    leastKey: () => entries[0]?.key,
    pop() {
      const least = entries[0];
      const last = entries.pop();
      if (last !== undefined && entries.length > 0) sink(last);
      return least?.item;
    },
  };
}
