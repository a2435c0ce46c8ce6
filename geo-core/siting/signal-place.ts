import type { Loop, WirePlace } from '#geo-core/model/plane-plan.ts';
import type { LocalPlane, PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { placeOn, straightAlong, trackOf } from '#geo-core/plane/straight-along.ts';
import { arcTangent } from '#geo-core/projection/portable-functions.ts';
import { spotsOnLoops } from './spots-on-loops.ts';

/**
 * Where a signal unit without a charging station is connected: the place of these loops (one at least) that lacks least of the straight
 * wire that is wanted, the nearest to one of the goals among equals.
 */
export function signalPlace(
  plane: LocalPlane,
  loops: readonly Loop[],
  goals: readonly PlanePoint[],
  rules: Rules,
): WirePlace {
  const { stationStraightBeforeM: wantBeforeM, stationStraightBehindM: wantBehindM } = rules;
  const tracks = new Map(loops.map((loop) => [loop, trackOf(loop.ring)]));
  const lack = (straightM: number, wantM: number): number => (straightM < wantM ? (wantM - straightM) / wantM : 0);
  const places = spotsOnLoops(loops, rules).map(({ loop, alongM }) => {
    const track = tracks.get(loop) ?? trackOf(loop.ring);
    const at = placeOn(track, alongM);
    const { beforeM, behindM, ux, uy } = straightAlong(track, alongM, wantBeforeM, wantBehindM);
    return {
      lacks: lack(beforeM, wantBeforeM) + lack(behindM, wantBehindM),
      awayM: goals.reduce(
        (leastM, { x, y }) => Math.min(leastM, distanceM(at.x, at.y, x, y)),
        Number.POSITIVE_INFINITY,
      ),
      place: { at, headingDeg: headingOf(plane, ux, uy), loopId: loop.id, alongM },
    };
  });
  return places.reduce((best, each) =>
    each.lacks < best.lacks || (each.lacks === best.lacks && each.awayM < best.awayM) ? each : best,
  ).place;
}

/** Degrees clockwise from north of a direction of travel (a unit vector of the plane), to a ten-thousandth. */
export function headingOf({ xAxis }: LocalPlane, ux: number, uy: number): number {
  const { east, north } = xAxis ?? { east: 1, north: 0 };
  const headingDeg =
    Math.round((arcTangent(ux * east - uy * north, ux * north + uy * east) * 180 * 1e4) / Math.PI) / 1e4;
  return headingDeg < 0 ? headingDeg + 360 : headingDeg;
}
