import { disjointSets } from '#geo-core/plane/disjoint-sets.ts';

/** Channels 0, 1, ... for items of which some pairs must not share one. */
export type Channels = {
  readonly channelOf: ArrayLike<number>;
  /** How many are used. */
  readonly count: number;
  /** No assignment has fewer: so many items disturb each other all. */
  readonly atLeast: number;
  /** True where none with fewer exists: by `atLeast`, or because all were tried. */
  readonly proven: boolean;
};

/** The exact search: most items that hang together, and most items given a channel in it. */
const EXACT_ITEMS = 200;
const EXACT_STEPS = 100_000;

/**
 * Graph colouring: DSATUR (D. Brelaz, New methods to color the vertices of a graph, Communications of the ACM 22, 1979, from memory:
 * next the item with the most channels taken around it), then, where a clique does not prove the count, branch and bound over the
 * same order until all is tried. Items that do not hang together are looked at apart. Deterministic: ties go by number.
 */
export function assignChannels(count: number, pairs: readonly (readonly [number, number])[]): Channels {
  const besides: Set<number>[] = Array.from({ length: count }, () => new Set());
  const together = disjointSets(count);
  for (const [one, other] of pairs) {
    if (one === other) continue;
    besides[one].add(other);
    besides[other].add(one);
    together.join(one, other);
  }
  const groups = new Map<number, number[]>();
  for (let item = 0; item < count; item++) {
    const root = together.find(item);
    const group = groups.get(root);
    if (group === undefined) groups.set(root, [item]);
    else group.push(item);
  }
  const channelOf = new Array<number>(count).fill(0);
  const found = Array.from(groups.values(), (items) => {
    const group = colourGroup(items, besides);
    items.forEach((item, i) => {
      channelOf[item] = group.channelOf[i];
    });
    return group;
  });
  const most = (figure: (group: Channels) => number): number =>
    found.reduce((max, group) => Math.max(max, figure(group)), 0);
  const used = most((group) => group.count);
  const atLeast = most((group) => group.atLeast);
  const proven = used === atLeast || found.some((group) => group.proven && group.count === used);
  return { channelOf, count: used, atLeast, proven };
}

function colourGroup(items: readonly number[], besides: readonly ReadonlySet<number>[]): Channels {
  const place = new Map(items.map((item, i) => [item, i]));
  const near = items.map((item) => Array.from(besides[item], (other) => place.get(other) ?? 0).sort((a, b) => a - b));
  const atLeast = Math.max(...near.map((_, first) => cliqueFrom(first, near)));
  const first = colouring(near);
  for (let item = first.next(); item !== -1; item = first.next()) first.give(item, first.free(item));
  const search: Search = {
    colouring: colouring(near),
    best: first.channelOf.slice(),
    count: first.used(),
    atLeast,
    steps: 0,
  };
  if (search.count > atLeast && items.length <= EXACT_ITEMS) tryAll(search);
  const proven = search.count === atLeast || (items.length <= EXACT_ITEMS && search.steps < EXACT_STEPS);
  return { channelOf: search.best, count: search.count, atLeast, proven };
}

/** Size of a set of items that disturb each other all, grown from one by those with the most neighbours. */
function cliqueFrom(first: number, near: readonly (readonly number[])[]): number {
  let candidates = near[first].toSorted((a, b) => near[b].length - near[a].length || a - b);
  let size = 1;
  while (candidates.length > 0) {
    const around = new Set(near[candidates[0]]);
    size++;
    candidates = candidates.slice(1).filter((item) => around.has(item));
  }
  return size;
}

type Colouring = ReturnType<typeof colouring>;

/** A half-made assignment that knows, for every item, how often each channel is taken around it. */
function colouring(near: readonly (readonly number[])[]) {
  const channelOf = new Int32Array(near.length).fill(-1);
  const takenAround = near.map((others) => new Int32Array(others.length + 1));
  const kindsAround = new Int32Array(near.length);
  const change = (item: number, channel: number, by: 1 | -1): void => {
    for (const other of near[item]) {
      const taken = takenAround[other];
      if (channel >= taken.length) continue;
      taken[channel] += by;
      if (taken[channel] === (by === 1 ? 1 : 0)) kindsAround[other] += by;
    }
  };
  return {
    channelOf,
    /** The item without a channel that is most hemmed in; -1 where none is left. */
    next(): number {
      let best = -1;
      for (let item = 0; item < near.length; item++) {
        if (channelOf[item] >= 0) continue;
        const more = best === -1 ? 1 : kindsAround[item] - kindsAround[best] || near[item].length - near[best].length;
        if (more > 0) best = item;
      }
      return best;
    },
    isFree: (item: number, channel: number): boolean => (takenAround[item][channel] ?? 0) === 0,
    free: (item: number): number => takenAround[item].indexOf(0),
    give(item: number, channel: number): void {
      channelOf[item] = channel;
      change(item, channel, 1);
    },
    take(item: number): void {
      change(item, channelOf[item], -1);
      channelOf[item] = -1;
    },
    used: (): number => channelOf.reduce((most, channel) => Math.max(most, channel + 1), 0),
  };
}

type Search = {
  readonly colouring: Colouring;
  best: Int32Array;
  count: number;
  readonly atLeast: number;
  steps: number;
};

/** Gives the items left their channels in every way that could do with fewer than the best. */
function tryAll(search: Search, used = 0): void {
  const { colouring: now, atLeast } = search;
  const item = now.next();
  if (item === -1) {
    search.best = now.channelOf.slice();
    search.count = used;
    return;
  }
  // One channel never used before stands for all of them.
  for (let channel = 0; channel <= used && channel < search.count - 1; channel++) {
    if (search.count === atLeast || search.steps >= EXACT_STEPS) return;
    if (!now.isFree(item, channel)) continue;
    search.steps++;
    now.give(item, channel);
    tryAll(search, Math.max(used, channel + 1));
    now.take(item);
  }
}
