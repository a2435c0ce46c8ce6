import { buffer, polygon as turfPolygon } from '@turf/turf';
import { drivableAreas } from '#geo-core/arranging/drivable-areas.ts';
import type { EdgeRing } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { BEYONDS, type PlaneSite, type SiteInput } from '#geo-core/model/site.ts';
import { insetPolygon } from '#geo-core/plane/inset-polygon.ts';
import { ringLengthM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { readSite } from '#geo-core/stages/05-read-site.ts';
import { projectSite } from '#geo-core/stages/10-project-site.ts';
import { deriveLawn } from '#geo-core/stages/15-derive-lawn.ts';
import { classifyEdges } from '#geo-core/stages/25-classify-edges.ts';
import { offsetBoundary } from '#geo-core/stages/30-offset-boundary.ts';
import type { RealLawn } from '../support/real-lawns.ts';
import { nativeGeos, type OffsetWork, type Run } from './native-geos.ts';
import { milliseconds, quantile, seededRandom, sum, table } from './statistics.ts';

/**
 * The offset alone against the same work by native GEOS (a distance for each edge) and by @turf/turf (one distance); beside it what is
 * ours only: the stage, which says where a lawn vanishes or falls apart, and the ground inside the wire with bends and corners as they are pegged.
 */

const ROUNDS = 5;
const WARM_UP_ROUNDS = 3;
const UNIFORM_M = 0.35;
/** Quarter-circle segments of a 0.35 m arc within our 1 mm. */
const TURF_STEPS = 11;

type Job = OffsetWork & { readonly name: string; readonly site: SiteInput; readonly gridM: number };

export function benchOffset(lawns: readonly RealLawn[], seed: number): string {
  const rules = RULE_SETS[0];
  const random = seededRandom(seed);
  const mixed = lawns.map((lawn) => jobOf(lawn, rules, (ring) => runsOfDistances(ring, rules, random)));
  const uniform = lawns.map((lawn) => jobOf(lawn, rules, (ring) => ring.offsetsM.map(() => UNIFORM_M)));
  for (let round = 0; round < WARM_UP_ROUNDS; round++) runOffset(mixed, rules, 1);
  const rows = [
    ['offset', 'lawns/s', 'median ms', 'p99 ms', 'offset alone is faster by', 'same area to 1 mm along the edge'],
  ];
  const lengthsM = mixed.map(({ edges }) =>
    sum(edges.flatMap(({ outer, holes }) => [outer, ...holes]).map(({ ring }) => ringLengthM(ring))),
  );
  const ours = runOffset(mixed, rules, ROUNDS);
  rows.push(rowOf('mixed distances, offset alone', ours));
  rows.push(rowOf('mixed distances, stage 30 with its findings', runStage(mixed, rules, ROUNDS)));
  rows.push(rowOf('mixed distances, with drivable corners', runDrivable(mixed, rules, ROUNDS)));
  const native = nativeGeos(mixed, ROUNDS);
  if (typeof native !== 'string') rows.push(rowOf('mixed distances, native GEOS', native, ours, lengthsM));
  const oursUniform = runOffset(uniform, rules, ROUNDS);
  rows.push(rowOf(`uniform ${UNIFORM_M} m, offset alone`, oursUniform));
  rows.push(rowOf(`uniform ${UNIFORM_M} m, with drivable corners`, runDrivable(uniform, rules, ROUNDS)));
  const nativeUniform = nativeGeos(uniform, ROUNDS);
  if (typeof nativeUniform !== 'string')
    rows.push(rowOf(`uniform ${UNIFORM_M} m, native GEOS`, nativeUniform, oursUniform, lengthsM));
  rows.push(rowOf(`uniform ${UNIFORM_M} m, @turf/turf buffer`, runTurf(uniform), oursUniform));
  const skipped = typeof native === 'string' ? `\n${native}` : '';
  return `Offset, ${lawns.length} real lawns, median of ${ROUNDS} rounds for each lawn\n${table(rows)}${skipped}`;
}

function jobOf(lawn: RealLawn, rules: Rules, distances: (ring: EdgeRing) => Float64Array): Job {
  const site: PlaneSite = projectSite(readSite(lawn.site, rules).output).output;
  const derived = deriveLawn({ site }, rules).output;
  const redone = (ring: EdgeRing): EdgeRing => ({ ...ring, offsetsM: distances(ring) });
  const edges = classifyEdges({ site, lawn: derived }, rules).output.map(({ outer, holes }) => ({
    outer: redone(outer),
    holes: holes.map(redone),
  }));
  return { name: lawn.name, site: lawn.site, edges, keepOuts: [], gridM: site.gridM };
}

/** Distances of the rule set in runs of one to eight edges, as fences and beds come. */
function runsOfDistances(ring: EdgeRing, rules: Rules, random: () => number): Float64Array {
  let left = 0;
  let distanceM = 0;
  return ring.offsetsM.map(() => {
    if (left === 0) {
      left = 1 + Math.floor(8 * random());
      distanceM = rules.offsetsM[BEYONDS[Math.floor(BEYONDS.length * random())]];
    }
    left--;
    return distanceM;
  });
}

/** What GEOS does: the ground that keeps its distance from every edge. */
function runOffset(jobs: readonly Job[], rules: Rules, rounds: number): Run {
  return measured(jobs, rounds, ({ edges, gridM }) => {
    const inset = edges.flatMap(({ outer, holes }) => insetPolygon([outer, ...holes], rules.reflexJoin, gridM));
    return () => totalAreaM2(inset);
  });
}

function runStage(jobs: readonly Job[], rules: Rules, rounds: number): Run {
  return measured(jobs, rounds, ({ edges, gridM }) => {
    const inset = offsetBoundary({ edges, gridM }, rules).output;
    return () => totalAreaM2(inset);
  });
}

function runDrivable(jobs: readonly Job[], rules: Rules, rounds: number): Run {
  return measured(jobs, rounds, ({ edges, gridM }) => {
    const inset = edges.flatMap(({ outer, holes }) => insetPolygon([outer, ...holes], rules.reflexJoin, gridM));
    const { areas } = drivableAreas(inset, rules, gridM);
    return () => totalAreaM2(areas);
  });
}

function runTurf(jobs: readonly Job[]): Run {
  const polygons = new Map(
    jobs.map(({ name, site }) => {
      const geometry = site.features[0].geometry;
      if (geometry?.type !== 'Polygon') throw new Error(`${name} is not a polygon`);
      return [name, turfPolygon(geometry.coordinates.map((ring) => ring.map((position) => [...position])))];
    }),
  );
  return measured(jobs, 1, ({ name }) => {
    const polygon = polygons.get(name);
    if (polygon !== undefined) buffer(polygon, -UNIFORM_M, { units: 'meters', steps: TURF_STEPS });
    return () => Number.NaN;
  });
}

function measured(jobs: readonly Job[], rounds: number, work: (job: Job) => () => number): Run {
  const seconds: number[][] = jobs.map(() => []);
  const areasM2: number[] = [];
  for (let round = 0; round < rounds; round++)
    jobs.forEach((job, i) => {
      const startMs = performance.now();
      const areaM2 = work(job);
      seconds[i].push((performance.now() - startMs) / 1000);
      areasM2[i] = areaM2();
    });
  return { seconds: seconds.map((each) => quantile(each, 0.5)), areasM2 };
}

function rowOf(name: string, run: Run, ours?: Run, lengthsM: readonly number[] = []): string[] {
  const ratio = ours === undefined ? '' : `${(sum(run.seconds) / sum(ours.seconds)).toFixed(2)} x`;
  const same = lengthsM.filter(
    (lengthM, i) => Math.abs(run.areasM2[i] - (ours?.areasM2[i] ?? 0)) <= 1e-3 * lengthM,
  ).length;
  return [
    name,
    (run.seconds.length / sum(run.seconds)).toFixed(0),
    milliseconds(quantile(run.seconds, 0.5)),
    milliseconds(quantile(run.seconds, 0.99)),
    ratio,
    lengthsM.length === 0 ? '' : `${same} of ${lengthsM.length}`,
  ];
}
