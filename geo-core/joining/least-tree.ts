/** A link between two loops by index, a < b. */
export type Link = { readonly a: number; readonly b: number; readonly lengthM: number };

/** Straight distance between two loops by index, a < b, metres. */
export type ApartM = (a: number, b: number) => number;

/**
 * How much shorter than a least spanning tree a tree with branch points can be, in the plane: sqrt(3) / 2 for up to six points
 * (Rubinstein and Thomas 1991), 0.8241 for any (Chung and Graham 1985), both from memory.
 */
export const branchRatio = (count: number): number => (count <= 6 ? Math.sqrt(3) / 2 : 0.8241);

/** The links of a least spanning tree, the shortest first (Kruskal 1956, from memory). */
export function treeOf(links: readonly Link[], count: number): Link[] {
  const groups = groupsOf(count);
  return links.toSorted((p, q) => p.lengthM - q.lengthM).filter(({ a, b }) => groups.join(a, b));
}

export type Groups = {
  of(item: number): number;
  /** The least value of any item in the group of this one. */
  leastM(item: number): number;
  /** Whether the two were in different groups. */
  join(a: number, b: number): boolean;
};

/** Items in groups that are joined one by one. */
export function groupsOf(count: number, valuesM: readonly number[] = []): Groups {
  const parent = Int32Array.from({ length: count }, (_, item) => item);
  const leastM = [...valuesM];
  const of = (item: number): number => {
    let at = item;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]];
      at = parent[at];
    }
    return at;
  };
  return {
    of,
    leastM: (item) => leastM[of(item)],
    join(a, b) {
      const [p, q] = [of(a), of(b)];
      if (p === q) return false;
      parent[q] = p;
      leastM[p] = Math.min(leastM[p], leastM[q]);
      return true;
    },
  };
}
