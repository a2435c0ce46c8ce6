import { planNeighbours } from '#geo-core/field/plan-neighbours.ts';
import type { Plan, PlanGeometry } from '#geo-core/model/plan.ts';
import type { DerivedLawn } from '#geo-core/model/plane-plan.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite, SiteInput } from '#geo-core/model/site.ts';
import { planSite, surveySite } from '#geo-core/plan-site.ts';
import { pointToPolygonsM, polygonsApart } from '#geo-core/plane/clearance-apart.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { segmentSegmentM } from '#geo-core/plane/segment.ts';
import { geoJsonShapes } from '#geo-core/projection/geojson-shapes.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { clockHours } from '#geo-core/upkeep/zone-hours.ts';
import { areaSite } from './area-site.ts';
import type { Cut, CutWanted } from './best-cut.ts';
import { machineFit, machinesByHours } from './machine-fit.ts';
import { partGround } from './part-ground.ts';

/** Hours of no working area differ from the mean of its ground by more, percent. Common practice, no source. */
export const HOURS_TOLERANCE_PCT = 10;
/** More machines on one property are a matter for the supplier. Common practice, no source. */
export const MACHINES_MAX = 12;

/** One machine's ground: a site and a plan of its own, with its own station and signal unit. */
type WorkingAreaOfMachine = {
  readonly id: string;
  readonly site: SiteInput;
  readonly plan: Plan;
  readonly hoursPerWeek: number;
  /** Less the mean of the areas of its ground, percent of that. */
  readonly offMeanPct: number;
  /** From the nearest outlet, metres; null where none is given. */
  readonly cableM: number | null;
  /** Whether that is within what the rule set allows; null where no outlet is given. */
  readonly isSupplied: boolean | null;
  /** Signals of areas that disturb each other go by different channels, counted from 0. */
  readonly channel: number;
};

export type LawnSplit = {
  readonly rules: string;
  /** Empty where the lawn cannot be parted so. */
  readonly areas: readonly WorkingAreaOfMachine[];
  /** Where the lawn is cut, longitude and latitude. */
  readonly cuts: readonly { readonly geometry: PlanGeometry; readonly lengthM: number }[];
  readonly tolerancePct: number;
  /** Largest of the areas' `offMeanPct` without its sign. */
  readonly spreadPct: number;
  readonly isFair: boolean;
  /** False where an area is still too much for its machine, or more of it than the machine can do. */
  readonly isEnough: boolean;
};

/** Either side of a cut may weigh this much off its share, so that a shorter cut is found; the rounds level it. */
const CUT_TOLERANCE = 0.04;
const ROUNDS = 4;
/** Ground that takes less than this share of what the largest does is mown by the machine of the nearest ground, carried there. Common practice, no source. */
const CARRIED_SHARE = 0.15;
/** Metres of cut that an outlet out of reach, or a keep-out on the cut, is worth avoiding for. */
const NO_OUTLET_M = 1000;
const ON_KEEP_OUT_M = 3;

/**
 * A lawn too large for one machine -> working areas of equal hours, each in one piece, planned and audited for itself. Without `machines`
 * the fewest that keep their hours and the reach of their signal, at most `MACHINES_MAX`. Cuts are the shortest straight ones (`bestCut`),
 * so they lie in bottlenecks where there are any, and in reach of an outlet on both sides. Along a cut the lawn counts as open ground.
 * Ground that hangs apart is never cut for the sake of another's hours. `whole` is the plan of the site by one machine, whose rules hold. The
 * kernel must be loaded.
 */
export function splitLawn(input: SiteInput, whole: Plan, machines?: number): LawnSplit {
  const { rules } = whole;
  const survey = surveySite(input, rules);
  if (machines !== undefined) return splitInto(input, rules, survey, machines);
  let count = Math.min(MACHINES_MAX, machinesByHours(whole));
  let split = splitInto(input, rules, survey, count);
  if (machineFit(whole).machinesAtLeast === null) return split;
  while (!split.isEnough && count < MACHINES_MAX) {
    count = Math.min(MACHINES_MAX, Math.max(count, split.areas.length) + 1);
    split = splitInto(input, rules, survey, count);
  }
  return split;
}

type Survey = ReturnType<typeof surveySite>;
type Piece = { readonly lawn: readonly Polygon[]; readonly ground: number };

function splitInto(input: SiteInput, rules: Rules, survey: Survey, machines: number): LawnSplit {
  const { site, lawn, slope } = survey;
  const weightOf = (polygon: Polygon): number =>
    clockHours({ polygons: [polygon], areaM2: polygonAreaM2(polygon) }, slope, rules);
  const grounds = groundsOf(lawn, weightOf);
  const counts = apportioned(
    grounds.map(({ weight }) => weight),
    machines,
  );
  const wanted = { tolerance: CUT_TOLERANCE, weightOf, penaltyM: penaltyOf(site, lawn, rules) };
  const shapes = geoJsonShapes(localPlaneProjection(site.plane));
  let shares = counts.map((count) => new Array<number>(count).fill(1 / count));
  let best: LawnSplit | undefined;
  for (let round = 0; round < ROUNDS; round++) {
    const parted = grounds.map(({ polygon }, i) => partGround(polygon, shares[i], wanted));
    if (parted.some((one) => one === undefined)) break;
    const pieces = parted.flatMap((one, ground): Piece[] =>
      (one?.parts ?? []).map((part, i) => ({
        ground,
        lawn: lawnIn(part, i === 0 ? grounds[ground].carried : [], lawn, site),
      })),
    );
    const planned = planPieces(input, site, pieces, rules, shapes);
    const cuts = parted.flatMap((one) => one?.cuts ?? []);
    const next = judged(planned, pieces, cuts, rules, shapes);
    if (best === undefined || next.spreadPct < best.spreadPct) best = next;
    if (best.spreadPct <= HOURS_TOLERANCE_PCT) break;
    shares = levelled(
      shares,
      next.areas.map(({ hoursPerWeek }) => hoursPerWeek),
    );
  }
  return best ?? nothingParted(rules);
}

/** Ground that is worth a machine, largest first, each with the smaller grounds that its first machine is carried to. */
function groundsOf({ ground }: DerivedLawn, weightOf: CutWanted['weightOf']) {
  const all = ground.map((polygon) => ({ polygon, weight: weightOf(polygon) })).toSorted((a, b) => b.weight - a.weight);
  const own = all.filter(({ weight }) => weight >= CARRIED_SHARE * all[0].weight);
  const small = all.slice(own.length).map(({ polygon }) => polygon);
  const nearestTo = (polygon: Polygon): number =>
    own
      .map((one, i) => ({ i, farM: polygonsApart([one.polygon], [polygon])?.distanceM ?? Number.POSITIVE_INFINITY }))
      .reduce((best, next) => (next.farM < best.farM ? next : best)).i;
  const home = small.map(nearestTo);
  return own.map((one, i) => ({ ...one, carried: small.filter((_, k) => home[k] === i) }));
}

/** Machines by weight: one for each ground, then always the one whose machines have the most each. */
function apportioned(weights: readonly number[], machines: number): number[] {
  const counts = weights.map(() => 1);
  for (let left = machines - weights.length; left > 0; left--) {
    const loads = weights.map((weight, i) => weight / counts[i]);
    counts[loads.indexOf(Math.max(...loads))]++;
  }
  return counts;
}

function lawnIn(part: Polygon, carried: readonly Polygon[], { crossings, lawn }: DerivedLawn, { gridM }: PlaneSite) {
  const whole = [part, ...carried];
  if (crossings.length === 0) return whole;
  return polygonsFromRings(kernel().intersection(ringsOf(whole), ringsOf(lawn), gridM));
}

type Shapes = ReturnType<typeof geoJsonShapes>;

function planPieces(input: SiteInput, site: PlaneSite, pieces: readonly Piece[], rules: Rules, shapes: Shapes) {
  const [fixed] = site.features.flatMap(({ kind, shape }) =>
    kind === 'station' && shape.type === 'point' ? shape.points : [],
  );
  const farM = pieces.map(({ lawn }) => (fixed === undefined ? 0 : pointToPolygonsM(fixed, lawn)));
  const keeper = farM.indexOf(Math.min(...farM));
  return pieces.map(({ lawn }, i) => {
    const own = areaSite(input, site, { number: i + 1, lawn, keepsStation: i === keeper }, shapes);
    return { site: own, plan: planSite(own, rules) };
  });
}

function judged(
  planned: readonly { readonly site: SiteInput; readonly plan: Plan }[],
  pieces: readonly Piece[],
  cuts: readonly Cut[],
  rules: Rules,
  shapes: Shapes,
): LawnSplit {
  const { channels } = planNeighbours(
    planned.map(({ plan }) => plan),
    rules,
  );
  const hours = planned.map(({ plan }) => plan.summary.hoursPerWeek);
  const areas = planned.map(({ site, plan }, i): WorkingAreaOfMachine => {
    const same = hours.filter((_, k) => pieces[k].ground === pieces[i].ground);
    const mean = same.reduce((sum, value) => sum + value, 0) / same.length;
    const hasOutlet = site.features.some(({ properties }) => properties?.kind === 'outlet');
    const [cableM = null] = plan.features.flatMap(({ properties }) =>
      properties.kind === 'supply-cable' ? [properties.lengthM] : [],
    );
    return {
      id: `area-${i + 1}`,
      site,
      plan,
      hoursPerWeek: hours[i],
      offMeanPct: mean > 0 ? (100 * (hours[i] - mean)) / mean : 0,
      cableM,
      isSupplied: hasOutlet ? cableM !== null && cableM <= rules.supplyCableMaxM : null,
      channel: channels.channelOf[i],
    };
  });
  const spreadPct = Math.max(0, ...areas.map(({ offMeanPct }) => Math.abs(offMeanPct)));
  return {
    rules: rules.name,
    areas,
    cuts: cuts.flatMap(({ lines, lengthM }) => {
      const parts = lines.flatMap(([p, q]) => shapes.line(Float64Array.of(p.x, p.y, q.x, q.y)) ?? []);
      return parts.map((geometry) => ({ geometry, lengthM: lengthM / parts.length }));
    }),
    tolerancePct: HOURS_TOLERANCE_PCT,
    spreadPct,
    isFair: spreadPct <= HOURS_TOLERANCE_PCT,
    isEnough: areas.every(({ plan }) => machineFit(plan).verdict !== 'fits-shared'),
  };
}

/** Shares of the next round: what took more hours than the mean gets less ground. */
function levelled(shares: readonly (readonly number[])[], hours: readonly number[]): number[][] {
  let first = 0;
  return shares.map((own) => {
    const took = hours.slice(first, first + own.length);
    first += own.length;
    const mean = took.reduce((sum, value) => sum + value, 0) / took.length;
    const raw = own.map((share, i) => (took[i] > 0 ? (share * mean) / took[i] : share));
    const sum = raw.reduce((total, value) => total + value, 0);
    return raw.map((share) => share / sum);
  });
}

function nothingParted({ name }: Rules): LawnSplit {
  return {
    rules: name,
    areas: [],
    cuts: [],
    tolerancePct: HOURS_TOLERANCE_PCT,
    spreadPct: 0,
    isFair: false,
    isEnough: false,
  };
}

/** What a cut had better avoid: sides out of reach of every outlet, and things standing on it. */
function penaltyOf(site: PlaneSite, { keepOuts }: DerivedLawn, rules: Rules): CutWanted['penaltyM'] {
  const outlets = site.features.flatMap(({ kind, shape }) =>
    kind === 'outlet' && shape.type === 'point' ? shape.points : [],
  );
  const standing = keepOuts.flatMap(({ polygons, offsetM }) => polygons.map(({ outer }) => ({ outer, offsetM })));
  return ({ sides, lines }) => {
    const dark =
      outlets.length === 0
        ? []
        : sides.filter((side) => outlets.every((outlet) => pointToPolygonsM(outlet, [side]) > rules.supplyCableMaxM));
    const met = standing.filter(({ outer, offsetM }) =>
      lines.some(([p, q]) => {
        const last = outer.length - 2;
        for (let i = 0, k = last; i < outer.length; k = i, i += 2) {
          const apartM = segmentSegmentM(outer[k], outer[k + 1], outer[i], outer[i + 1], p.x, p.y, q.x, q.y);
          if (apartM < offsetM + rules.wireGapM) return true;
        }
        return false;
      }),
    );
    return NO_OUTLET_M * dark.length + ON_KEEP_OUT_M * met.length;
  };
}
