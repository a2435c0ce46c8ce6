import Flatbush from 'flatbush';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { closedLine, ringsOf } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { assignChannels, type Channels } from './assign-channels.ts';
import { fieldOfWiresNt } from './biot-savart.ts';

/** One garden of an estate, all in metres of one plane. */
export type NeighbourGarden = {
  readonly routes: readonly Polyline[];
  /** Where its machine listens. */
  readonly workingArea: readonly Polygon[];
};

/** Two gardens, by their place in the list, that must not be on one channel. */
type DisturbedPair = {
  readonly between: readonly [number, number];
  /** From wire to wire at the nearest, metres. */
  readonly distanceM: number;
  /** The stronger of either loop's field on the other's working area, nT at 1 A, and where. */
  readonly strayFieldNt: number;
  readonly at: { readonly x: number; readonly y: number };
};

export type EstateChannels = { readonly pairs: readonly DisturbedPair[]; readonly channels: Channels };

/** Outlines are looked at every so many metres. */
const STEP_M = 0.5;

/**
 * Which gardens of an estate disturb each other, and channels that keep them apart: pairs whose wires are nearer than
 * `neighbourGapM`, or where the field of one loop on the other's working area is over `strayFieldMaxNt` for each ampere at
 * `sensorHeightM`. Outside a loop the field is strongest towards the wire, so working areas are looked at along their outlines.
 *
 * Outside a closed wire |Bz| <= (mu0 / 4 pi) 2 pi / d at the distance d (terms along a ray alternate and the nearest counts most), so
 * gardens farther apart than 2 pi 100 nT m / limit are never looked at. Advice: the maker of the machine says how its channels
 * are told apart and how many there are.
 */
export function disturbedNeighbours(gardens: readonly NeighbourGarden[], rules: Rules): EstateChannels {
  const reachM = Math.max(rules.neighbourGapM, (2 * Math.PI * 100) / rules.strayFieldMaxNt);
  const pairs = nearPairs(gardens, reachM).flatMap(([one, other]): DisturbedPair[] => {
    const seen = [
      strayOn(gardens[one].routes, gardens[other], rules),
      strayOn(gardens[other].routes, gardens[one], rules),
    ];
    const [strongest] = seen.toSorted((a, b) => b.fieldNt - a.fieldNt);
    const apartM = Math.min(...seen.map((each) => each.distanceM));
    if (apartM >= rules.neighbourGapM && strongest.fieldNt <= rules.strayFieldMaxNt) return [];
    return [{ between: [one, other], distanceM: apartM, strayFieldNt: strongest.fieldNt, at: strongest.at }];
  });
  return {
    pairs,
    channels: assignChannels(
      gardens.length,
      pairs.map(({ between }) => between),
    ),
  };
}

/** Pairs whose boxes lie within reach of each other, in order. */
function nearPairs(gardens: readonly NeighbourGarden[], reachM: number): [number, number][] {
  const boxes = gardens.map(boxOfRoutes);
  const laid = boxes.flatMap((box, garden) => (box === undefined ? [] : [{ garden, box }]));
  if (laid.length === 0) return [];
  const index = new Flatbush(laid.length);
  for (const { box } of laid) index.add(...box);
  index.finish();
  return laid.flatMap(({ garden, box: [minX, minY, maxX, maxY] }) =>
    index
      .search(minX - reachM, minY - reachM, maxX + reachM, maxY + reachM)
      .map((found) => laid[found].garden)
      .filter((other) => other > garden)
      .sort((a, b) => a - b)
      .map((other): [number, number] => [garden, other]),
  );
}

function boxOfRoutes({ routes }: NeighbourGarden): [number, number, number, number] | undefined {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const line of routes) {
    for (let i = 0; i < line.length; i += 2) {
      [minX, maxX] = [Math.min(minX, line[i]), Math.max(maxX, line[i])];
      [minY, maxY] = [Math.min(minY, line[i + 1]), Math.max(maxY, line[i + 1])];
    }
  }
  return maxX >= minX ? [minX, minY, maxX, maxY] : undefined;
}

type Stray = {
  readonly fieldNt: number;
  readonly distanceM: number;
  readonly at: { readonly x: number; readonly y: number };
};

/** The strongest field of a loop on another garden's working area, and how near their wires come. */
function strayOn(routes: readonly Polyline[], other: NeighbourGarden, rules: Rules): Stray {
  let strongest = { fieldNt: 0, at: { x: 0, y: 0 } };
  let nearestM = Number.POSITIVE_INFINITY;
  for (const ring of ringsOf(other.workingArea)) {
    const line = closedLine(ring);
    for (let i = 0; i + 3 < line.length; i += 2) {
      const steps = Math.max(1, Math.ceil(distanceM(line[i], line[i + 1], line[i + 2], line[i + 3]) / STEP_M));
      for (let step = 0; step < steps; step++) {
        const x = line[i] + ((line[i + 2] - line[i]) * step) / steps;
        const y = line[i + 1] + ((line[i + 3] - line[i + 1]) * step) / steps;
        nearestM = Math.min(nearestM, nearestWireM(x, y, routes));
        const fieldNt = Math.abs(fieldOfWiresNt(routes, x, y, rules.sensorHeightM));
        if (fieldNt > strongest.fieldNt) strongest = { fieldNt, at: { x, y } };
      }
    }
  }
  return { ...strongest, distanceM: nearestM };
}

function nearestWireM(x: number, y: number, routes: readonly Polyline[]): number {
  let nearest = Number.POSITIVE_INFINITY;
  for (const line of routes) {
    for (let i = 0; i + 3 < line.length; i += 2) {
      nearest = Math.min(nearest, pointSegmentM(x, y, line[i], line[i + 1], line[i + 2], line[i + 3]));
    }
  }
  return nearest;
}
