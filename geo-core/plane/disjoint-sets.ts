export type DisjointSets = { find(item: number): number; join(a: number, b: number): number };

/** Union-find over the items 0 to count - 1, with path halving; `join` returns the root that is left. */
export function disjointSets(count: number): DisjointSets {
  const parent = new Int32Array(count);
  const size = new Int32Array(count).fill(1);
  for (let t = 0; t < count; t++) parent[t] = t;
  const find = (start: number): number => {
    let t = start;
    while (parent[t] !== t) {
      parent[t] = parent[parent[t]];
      t = parent[t];
    }
    return t;
  };
  return {
    find,
    join(a, b) {
      let [one, two] = [find(a), find(b)];
      if (one === two) return one;
      if (size[one] < size[two]) [one, two] = [two, one];
      parent[two] = one;
      size[one] += size[two];
      return one;
    },
  };
}
