import type { Route } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { SpoolUse, WirePart } from '#geo-core/model/take-off.ts';
import { minHeap } from '#geo-core/plane/min-heap.ts';
import type { Stretch } from '#geo-core/plane/stretches-inside.ts';
import { partNeedM } from './wire-parts.ts';

/** A route as it comes off the spools: metres of spool by chainage, straight between the marks, and where it may not be spliced. */
type Run = {
  readonly signalUnit: number;
  readonly atM: readonly number[];
  readonly needM: readonly number[];
  /** Metres of spool before its first spare end and after its last, counted from the first route. */
  readonly beginM: number;
  readonly endM: number;
};

export type PlannedSpools = {
  readonly spools: readonly SpoolUse[];
  /** Where spools end on the way: `forced` where no size lets the splice come to lie where it may. */
  readonly ends: readonly { readonly signalUnit: number; readonly chainageM: number; readonly forced: boolean }[];
};

type Step = {
  readonly reachM: number;
  readonly sizeM: number;
  readonly forced: boolean;
  readonly before: Step | undefined;
  readonly cost: Cost;
};
/** Splices where none should be, decimetres of spool, spools: compared in this order. */
type Cost = { readonly forced: number; readonly decimetres: number; readonly spools: number };

/** So many steps are tried; thousands of metres in half a dozen sizes take a few hundred. Beyond, the longest spools go on. */
const STEPS_MAX = 20_000;
const DUST_M = 1e-9;

/**
 * Routes one after the other -> spools out of the sizes on offer with the least wire bought, then the fewest. A spool ends as far along as
 * it reaches and may be spliced; what is left of it is not used again, and one that ends with a route goes on with the next. Exact: going
 * farther with as much wire is never worse, so of all beginnings with the same cost only the farthest counts, and beginnings are taken
 * by their cost (Dijkstra's shortest path on the amounts of wire). Waste is what is bought and not laid: least wire is least waste.
 */
export function planSpools(
  routes: readonly Route[],
  parts: readonly WirePart[],
  barred: readonly (readonly Stretch[])[],
  sizesM: readonly number[],
  rules: Rules,
): PlannedSpools {
  const runs = runsOf(routes, parts, rules);
  const totalM = runs[runs.length - 1]?.endM ?? 0;
  if (totalM <= 0) return { spools: [], ends: [] };
  const bars = runs.flatMap((run, i) => barredNeeds(run, barred[i] ?? []));
  const last = leastWire(totalM, bars, runs.flatMap(spareEnds), sizesM);
  const steps: Step[] = [];
  for (let step: Step | undefined = last; step?.before !== undefined; step = step.before) steps.unshift(step);
  const ends = steps.slice(0, -1).flatMap(({ reachM, forced }) => {
    const run = runs.find(({ beginM, endM }) => reachM > beginM + DUST_M && reachM < endM - DUST_M);
    return run === undefined ? [] : [{ signalUnit: run.signalUnit, chainageM: chainageAt(run, reachM), forced }];
  });
  return { spools: steps.map((step, i) => spoolUse(step, i, runs, totalM)), ends };
}

function runsOf(routes: readonly Route[], parts: readonly WirePart[], rules: Rules): Run[] {
  const share = 1 + rules.reservePct / 100;
  let walkedM = 0;
  return routes.map(({ signalUnit, spans, chainageM }) => {
    const beginM = walkedM;
    const own = new Map(parts.filter((part) => part.signalUnit === signalUnit).map((part) => [part.id, part]));
    walkedM += rules.endSpareM * share;
    const atM = [0];
    const needM = [walkedM];
    for (const { id, firstVertex, lastVertex } of spans) {
      const part = own.get(id);
      const lengthM = chainageM[lastVertex] - chainageM[firstVertex];
      if (part === undefined || part.lengthM <= 0) continue;
      walkedM += (partNeedM(part, rules) * share * lengthM) / part.lengthM;
      atM.push(chainageM[lastVertex]);
      needM.push(walkedM);
    }
    walkedM += rules.endSpareM * share;
    return { signalUnit, atM, needM, beginM, endM: walkedM };
  });
}

/** Between two values of one list, the same share between those of the other; beyond the ends, the ends. */
function interpolate(from: readonly number[], to: readonly number[], value: number): number {
  let low = 0;
  let high = from.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (from[middle] <= value) low = middle;
    else high = middle;
  }
  const span = from[high] - from[low];
  const t = span > 0 ? Math.min(1, Math.max(0, (value - from[low]) / span)) : 0;
  return t === 1 ? to[high] : to[low] + t * (to[high] - to[low]);
}

function chainageAt({ atM, needM }: Run, spoolM: number): number {
  return interpolate(needM, atM, spoolM);
}

/** Open ranges of spool metres; a run's own ends are no splices and stay free. */
function barredNeeds(run: Run, stretches: readonly Stretch[]): Stretch[] {
  const { atM, needM, beginM, endM } = run;
  const lengthM = atM[atM.length - 1];
  return stretches.map(({ fromM, toM }) => ({
    fromM: fromM <= 0 ? beginM : interpolate(atM, needM, fromM),
    toM: toM >= lengthM ? endM : interpolate(atM, needM, toM),
  }));
}

/** What a run leaves over at its two ends to be connected, and as much wire beside it: there no splice is forced. */
function spareEnds({ needM, beginM, endM }: Run): readonly [Stretch, Stretch] {
  const [firstM, lastM] = [needM[0], needM[needM.length - 1]];
  const halfM = (lastM - firstM) / 2;
  return [
    { fromM: beginM, toM: firstM + Math.min(halfM, firstM - beginM) },
    { fromM: lastM - Math.min(halfM, endM - lastM), toM: endM },
  ];
}

function leastWire(
  totalM: number,
  bars: readonly Stretch[],
  spares: readonly Stretch[],
  sizesM: readonly number[],
): Step {
  const open = minHeap<Step>();
  const largestM = Math.max(...sizesM);
  const start: Step = {
    reachM: 0,
    sizeM: 0,
    forced: false,
    before: undefined,
    cost: { forced: 0, decimetres: 0, spools: 0 },
  };
  open.push(0, start);
  let farthestM = -1;
  for (let tried = 0; ; tried++) {
    const step = open.pop();
    if (step === undefined) return start;
    if (step.reachM >= totalM) return step;
    if (step.reachM <= farthestM) continue;
    farthestM = step.reachM;
    const next = sizesM
      .map((sizeM) => spliced(step, sizeM, totalM, bars))
      .filter(({ reachM }) => reachM > step.reachM + DUST_M);
    const tries = next.length > 0 ? next : [forcedOn(step, largestM, totalM, spares)];
    const kept = tried < STEPS_MAX ? tries : [tries.reduce((a, b) => (b.reachM > a.reachM ? b : a))];
    for (const each of kept) open.push(tried < STEPS_MAX ? keyOf(each.cost) : -each.reachM, each);
  }
}

/** One number in the order of the costs: exact below 128 forced splices, 3,000 km of wire and 4,096 spools. */
function keyOf({ forced, decimetres, spools }: Cost): number {
  return (forced * 33_554_432 + decimetres) * 4096 + spools;
}

/** A spool laid on from a step, back to the nearest place where it may be spliced. */
function spliced(before: Step, sizeM: number, totalM: number, bars: readonly Stretch[]): Step {
  const wantedM = before.reachM + sizeM;
  const reachM = wantedM >= totalM - DUST_M ? totalM : freeBelow(wantedM, bars);
  return { reachM, sizeM, forced: false, before, cost: costAfter(before.cost, sizeM, 0) };
}

/** A splice where none should be; in the wire that is spare, there is none even then. */
function forcedOn(before: Step, sizeM: number, totalM: number, spares: readonly Stretch[]): Step {
  const wantedM = Math.min(totalM, before.reachM + sizeM);
  const backM = wantedM < totalM ? freeBelow(wantedM, spares) : wantedM;
  const reachM = backM > before.reachM + DUST_M ? backM : wantedM;
  return { reachM, sizeM, forced: reachM < totalM, before, cost: costAfter(before.cost, sizeM, 1) };
}

function costAfter({ forced, decimetres, spools }: Cost, sizeM: number, more: number): Cost {
  return { forced: forced + more, decimetres: decimetres + Math.round(10 * sizeM), spools: spools + 1 };
}

function freeBelow(atM: number, bars: readonly Stretch[]): number {
  let low = 0;
  let high = bars.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (bars[middle].fromM < atM) low = middle + 1;
    else high = middle;
  }
  const bar = bars[low - 1];
  return bar !== undefined && atM < bar.toM - DUST_M ? bar.fromM : atM;
}

function spoolUse(step: Step, index: number, runs: readonly Run[], totalM: number): SpoolUse {
  const [fromM, toM] = [step.before?.reachM ?? 0, Math.min(totalM, step.reachM)];
  const lays = runs.flatMap((run) =>
    run.endM <= fromM + DUST_M || run.beginM >= toM - DUST_M
      ? []
      : [{ signalUnit: run.signalUnit, fromM: chainageAt(run, fromM), toM: chainageAt(run, toM) }],
  );
  const usedM = toM - fromM;
  return { spool: index + 1, lengthM: step.sizeM, usedM, leftM: step.sizeM - usedM, lays };
}
