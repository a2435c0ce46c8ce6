import { buffer, difference, featureCollection, polygon as turfPolygon, union } from '@turf/turf';
import { keepOutOutlines } from '#geo-core/arranging/keep-out-outlines.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { STAGE_IDS } from '#geo-core/plan-site.ts';
import { insetPolygon } from '#geo-core/plane/inset-polygon.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { ringsOf } from '#geo-core/plane/polygons.ts';
import { standingApart } from '#geo-core/plane/standing-apart.ts';
import { readSite } from '#geo-core/stages/05-read-site.ts';
import { projectSite } from '#geo-core/stages/10-project-site.ts';
import { deriveLawn } from '#geo-core/stages/15-derive-lawn.ts';
import { classifyEdges } from '#geo-core/stages/25-classify-edges.ts';
import { offsetBoundary } from '#geo-core/stages/30-offset-boundary.ts';
import { loopKeepOuts } from '#geo-core/stages/35-loop-keep-outs.ts';
import { typicalGarden, typicalParcel } from './bench-gardens.ts';
import { nativeGeos, type OffsetWork, type Run } from './native-geos.ts';
import { milliseconds, percent, quantile, seededRandom, sum, table } from './statistics.ts';
import { medianTimes, type PlanTimes, timedPlan } from './timed-plan.ts';

/** The typical garden and parcel: whole plans with their audit, and the offset and keep-out work alone against the peers doing it. */

const SITES = 100;
const ROUNDS = 7;
const WARM_UP_ROUNDS = 3;
const TARGETS_MS = { garden: 3, parcel: 1.5 };
/** Quarter-circle segments of a 0.35 m arc within our 1 mm. */
const TURF_STEPS = 11;

type TurfArea = NonNullable<ReturnType<typeof union>>;
type Job = OffsetWork & {
  readonly site: SiteInput;
  /** What the peers do: the ground at its distance from every edge, less what stands on it grown by its distance. */
  readonly offset: () => number;
  /** Stages 30 and 35: besides, straits closed where it pays, bends and corners as they are pegged, findings. */
  readonly loops: () => number;
};

export function benchTypical(seed: number): string {
  const random = seededRandom(seed);
  const rules = RULE_SETS[0];
  const kinds = [
    { name: 'garden', about: '60 vertices, 2 beds, 3 trees', sites: drawn(() => typicalGarden(random)) },
    { name: 'parcel', about: '12 vertices, 2 buildings, 3 trees', sites: drawn(() => typicalParcel(random)) },
  ] as const;
  const measured = kinds.map((kind) => ({ ...kind, times: planTimes(kind.sites, rules) }));
  const whole = [['whole plan with audit', 'median ms', 'p99 ms', 'target ms', 'median : target']];
  const alone = [['offset and keep-outs alone', 'median ms', 'p99 ms', 'peer : offset alone']];
  for (const { name, about, sites, times } of measured) {
    const seconds = times.map((each) => each.seconds);
    const targetMs = TARGETS_MS[name];
    whole.push([
      `typical ${name} (${about})`,
      milliseconds(quantile(seconds, 0.5)),
      milliseconds(quantile(seconds, 0.99)),
      String(targetMs),
      ((1000 * quantile(seconds, 0.5)) / targetMs).toFixed(2),
    ]);
    alone.push(...peerRows(name, sites, rules));
  }
  const shares = STAGE_IDS.map((stage) => [
    stage,
    ...measured.flatMap(({ times }) => {
      const seconds = times.map(({ ofStage }) => ofStage[stage]);
      return [milliseconds(quantile(seconds, 0.5)), percent(sum(seconds) / sum(times.map((each) => each.seconds)))];
    }),
  ]);
  return [
    `Typical sites, ${SITES} of each kind, median of ${ROUNDS} rounds for each, one core`,
    table(whole),
    table([['stage', 'garden ms', 'share', 'parcel ms', 'share'], ...shares]),
    table(alone),
  ].join('\n\n');
}

function drawn(draw: () => SiteInput): SiteInput[] {
  return Array.from({ length: SITES }, draw);
}

function planTimes(sites: readonly SiteInput[], rules: Rules): PlanTimes[] {
  for (let round = 0; round < WARM_UP_ROUNDS; round++) for (const site of sites) timedPlan(site, rules);
  const rounds = Array.from({ length: ROUNDS }, () => sites.map((site) => timedPlan(site, rules)));
  return sites.map((_, i) => medianTimes(rounds.map((round) => round[i])));
}

function peerRows(name: string, sites: readonly SiteInput[], rules: Rules): string[][] {
  const jobs = sites.map((site) => jobOf(site, rules));
  const ours = timed(jobs, ROUNDS, ({ offset }) => offset());
  const stages = timed(jobs, ROUNDS, ({ loops }) => loops());
  const rows = [
    [`${name}, offset alone`, ...figures(ours), ''],
    [`${name}, stages 30 and 35: straits, bends and corners, too`, ...figures(stages), ''],
  ];
  const native = nativeGeos(jobs, ROUNDS);
  if (typeof native === 'string') rows.push([native, '', '', '']);
  else rows.push([`${name}, native GEOS`, ...figures(native), ratio(native, ours)]);
  const turf = timed(jobs, 1, turfInset);
  rows.push([`${name}, @turf/turf (one distance)`, ...figures(turf), ratio(turf, ours)]);
  return rows;
}

function jobOf(input: SiteInput, rules: Rules): Job {
  const site = projectSite(readSite(input, rules).output).output;
  const lawn = deriveLawn({ site }, rules).output;
  const edges = classifyEdges({ site, lawn }, rules).output;
  const { gridM } = site;
  return {
    site: input,
    edges,
    keepOuts: lawn.keepOuts,
    offset: () => {
      const inset = edges.flatMap(({ outer, holes }) => insetPolygon([outer, ...holes], rules.reflexJoin, gridM));
      const { simple, raw } = keepOutOutlines(lawn.keepOuts, rules.reflexJoin, gridM);
      const rings = ringsOf(inset);
      // As stage 35 does: what stands apart is a hole as it is, only the rest is swept.
      const { apart, near } = standingApart(rings, simple, gridM);
      const swept = near.length + raw.length === 0 ? rings : kernel().positiveUnion([...rings, ...near, ...raw], gridM);
      return sum([...swept, ...apart].map(ringAreaM2));
    },
    loops: () => {
      const inset = offsetBoundary({ edges, gridM }, rules).output;
      return totalAreaM2(loopKeepOuts({ lawn, edges, inset, slope: undefined, gridM }, rules).output.workingArea);
    },
  };
}

/** Lawn or parcel shrunk, everything else grown, taken away. */
function turfInset({ site }: Job): number {
  const shrunk: TurfArea[] = [];
  const grown: TurfArea[] = [];
  for (const { geometry, properties } of site.features) {
    if (properties?.kind === 'edge' || geometry === null) continue;
    if (geometry.type === 'Polygon') {
      const shape = turfPolygon(geometry.coordinates.map((ring) => ring.map((position) => [...position])));
      const isGround = properties?.kind === 'lawn' || properties?.kind === 'parcel';
      const buffered = buffer(shape, isGround ? -0.35 : 0.35, { units: 'meters', steps: TURF_STEPS });
      if (buffered !== undefined) (isGround ? shrunk : grown).push(buffered);
    } else if (geometry.type === 'Point') {
      const shape = { type: 'Point' as const, coordinates: [...geometry.coordinates] };
      const buffered = buffer(shape, 0.65, { units: 'meters', steps: TURF_STEPS });
      if (buffered !== undefined) grown.push(buffered);
    }
  }
  const taken = grown.length > 1 ? union(featureCollection(grown)) : (grown[0] ?? null);
  const left = taken === null ? shrunk[0] : difference(featureCollection([shrunk[0], taken]));
  return left === null ? 0 : 1;
}

function timed(jobs: readonly Job[], rounds: number, work: (job: Job) => number): Run {
  for (const job of jobs.slice(0, 20)) work(job);
  const areasM2: number[] = [];
  const perRound = Array.from({ length: rounds }, () =>
    jobs.map((job, i) => {
      const startMs = performance.now();
      areasM2[i] = work(job);
      return (performance.now() - startMs) / 1000;
    }),
  );
  const secondsOf = (i: number): number[] => perRound.map((round) => round[i]);
  return { seconds: jobs.map((_, i) => quantile(secondsOf(i), 0.5)), areasM2 };
}

function figures({ seconds }: Run): string[] {
  return [milliseconds(quantile(seconds, 0.5)), milliseconds(quantile(seconds, 0.99))];
}

function ratio(peer: Run, ours: Run): string {
  return `${(quantile(peer.seconds, 0.5) / quantile(ours.seconds, 0.5)).toFixed(2)} x`;
}
