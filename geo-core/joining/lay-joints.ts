import type { Lead, Loop } from '#geo-core/model/plane-plan.ts';
import { distanceM, lineLengthM } from '#geo-core/plane/measure.ts';
import { type PlacesOnLines, placesOnLines } from '#geo-core/plane/places-on-lines.ts';
import type { Joint } from './joint.ts';

/**
 * Joints -> leads: from the loop that is joined already along the legs that go on straightest to the next loop; what branches
 * off becomes a lead that begins on that one.
 */
export function layJoints(
  joints: readonly Joint[],
  loops: readonly Loop[],
  leadCount: number,
): { leads: Lead[]; places: PlacesOnLines } {
  const places = placesOnLines();
  for (const { id, ring } of loops) places.add(id, ring, true);
  const leads: Lead[] = [];
  const joined = new Set([0]);
  for (const joint of joints) {
    const begin = joint.loops.findIndex((loop) => joined.has(loop));
    const waiting = [{ owner: loops[joint.loops[begin]].id, edge: joint.edges[begin], points: [begin] }];
    for (let start = waiting.shift(); start !== undefined; start = waiting.shift()) {
      const id = `lead-${leadCount + leads.length + 1}`;
      const { path, branches } = wayOn(joint, start.points);
      const end = path[path.length - 1];
      const line = Float64Array.from(path.flatMap((point) => [joint.points[2 * point], joint.points[2 * point + 1]]));
      const to = loops[joint.loops[end]];
      line.set(places.put(start.owner, start.edge, line[0], line[1]));
      line.set(places.put(to.id, joint.edges[end], line[line.length - 2], line[line.length - 1]), line.length - 2);
      places.add(id, line, false);
      leads.push({ id, line, lengthM: lineLengthM(line), connects: [start.owner, to.id] });
      for (const { at, next } of branches) waiting.push({ owner: id, edge: path.indexOf(at), points: [at, next] });
    }
    for (const loop of joint.loops) joined.add(loop);
  }
  return { leads, places };
}

type Branch = { readonly at: number; readonly next: number };

/** On from the end of a path to a loop, straightest first; the other ways on at every point are branches. */
function wayOn({ loops, points, legs }: Joint, begun: readonly number[]): { path: number[]; branches: Branch[] } {
  const path = [...begun];
  const branches: Branch[] = [];
  while (path.length === 1 || path[path.length - 1] >= loops.length) {
    const at = path[path.length - 1];
    const before = path[path.length - 2];
    const nexts = legs
      .flatMap(([a, b]) => (a === at ? [b] : b === at ? [a] : []))
      .filter((point) => point !== before)
      .toSorted((p, q) => bendOf(points, before, at, p) - bendOf(points, before, at, q));
    if (nexts.length === 0) break;
    path.push(nexts[0]);
    for (const next of nexts.slice(1)) branches.push({ at, next });
  }
  return { path, branches };
}

/** How sharply a path bends: 0 straight on, 2 right back. */
function bendOf(points: Float64Array, before: number | undefined, at: number, next: number): number {
  if (before === undefined) return 0;
  const [ux, uy] = [points[2 * at] - points[2 * before], points[2 * at + 1] - points[2 * before + 1]];
  const [vx, vy] = [points[2 * next] - points[2 * at], points[2 * next + 1] - points[2 * at + 1]];
  const bothM2 = legM(points, before, at) * legM(points, at, next);
  return bothM2 === 0 ? 0 : 1 - (ux * vx + uy * vy) / bothM2;
}

const legM = (points: Float64Array, a: number, b: number): number =>
  distanceM(points[2 * a], points[2 * a + 1], points[2 * b], points[2 * b + 1]);
