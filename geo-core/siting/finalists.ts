import type { Loop, Zone, ZonedArea } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { ringSegments } from '#geo-core/plane/box-index.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { nearly } from '#geo-core/plane/nearly.ts';
import { rayMeets } from '#geo-core/plane/ray-meets.ts';
import { segmentTree, someSegment } from '#geo-core/plane/segment-tree.ts';
import { seasonSun } from '#geo-core/sun/season-sun.ts';
import { shadeCasters, shadedShare } from '#geo-core/sun/shade.ts';
import type { Rating, RatingGround } from './rate-places.ts';
import { type Comfort, type KnownPlace, Notes, type RatedPlace, visitAtLeast } from './rated-place.ts';
import { roadSight, SIGHT_REACH_M } from './road-sight.ts';
import { hollowM } from './station-pad.ts';

/** Nobody weighs more than a dozen places. */
const MOST_CANDIDATES = 12;
/** Places looked at closely, at most: where most of them fail, so would the rest. */
const MOST_LOOKED_AT = 40;
/** Candidates stand at least this far apart: nobody chooses between neighbours. */
const CANDIDATES_APART_M = 2;
/** A wire found nearer than this to its own place is that place, metres. */
const OWN_WIRE_M = 1e-3;
/** Comfort, common practice, no source: weights in metres of cable. */
const SIGHT_WORTH_M = 10;
const SHADE_WORTH_M = 5;
const HOLLOW_WORTH_M = 5;

/**
 * The best places, apart from each other, looked at more closely (clear ground in front, sight from the road, shade through
 * the mowing season, water that stands) and ranked: by what they lack of the rules, then the larger zone, then comfort. Close looks go
 * down the list until enough places keep every rule but that of the zone.
 */
export function finalists(
  places: readonly RatedPlace[],
  { zones }: ZonedArea,
  closely: (place: RatedPlace) => KnownPlace,
): KnownPlace[] {
  const order = new Map<Zone | undefined, number>(zones.map((zone, index) => [zone, index]));
  const zoneRank = ({ zone }: RatedPlace): number => order.get(zone) ?? zones.length;
  const ranked = <Place extends RatedPlace>(all: readonly Place[]): Place[] =>
    all
      .map((place) => ({ place, rank: zoneRank(place) }))
      .sort(
        (a, b) =>
          nearly(a.place.lack, b.place.lack) ||
          a.rank - b.rank ||
          nearly(a.place.discomfortM, b.place.discomfortM) ||
          nearly(a.place.at.y, b.place.at.y) ||
          a.place.at.x - b.place.at.x,
      )
      .map(({ place }) => place);
  const kept: KnownPlace[] = [];
  let usable = 0;
  for (const place of ranked(places)) {
    if (usable === MOST_CANDIDATES || kept.length === MOST_LOOKED_AT) break;
    if (kept.some(({ at }) => distanceM(at.x, at.y, place.at.x, place.at.y) < CANDIDATES_APART_M)) continue;
    const looked = closely(place);
    if (isUsable(looked)) usable++;
    kept.push(looked);
  }
  const best = ranked(kept);
  const good = best.filter(isUsable);
  return (good.length > 0 ? good : best).slice(0, MOST_CANDIDATES);
}

function isUsable({ checks }: KnownPlace): boolean {
  return checks.every(({ rule, missing }) => missing === 0 || rule === 'zone');
}

/** Adds to a place what takes longer to find out, and writes down what was only counted; what it needs is gathered once for a site. */
export function closeLook(
  { visit }: Rating,
  { site, slope }: RatingGround,
  loops: readonly Loop[],
  rules: Rules,
): (place: RatedPlace) => KnownPlace {
  const clearM = clearInFront(loops, rules);
  const sight = roadSight(site);
  const casters = shadeCasters(site.features);
  const sun = casters === undefined ? [] : seasonSun(site.plane);
  return (place) => {
    const { x, y } = place.at;
    const notes = sight === undefined ? new Notes() : new NotesOfSight();
    visit(place, notes);
    visitAtLeast(notes, 'clear-front', clearM(place), rules.mowWidthM);
    if (sight !== undefined) {
      const { seenShare, nearestSeenM } = sight(x, y);
      const near = 1 - Math.min(nearestSeenM, SIGHT_REACH_M) / SIGHT_REACH_M;
      notes.comfort('road', 100 * seenShare, '%', SIGHT_WORTH_M * seenShare * near);
    }
    if (casters !== undefined) {
      const share = shadedShare(casters, sun, x, y);
      notes.comfort('shade', 100 * share, '%', SHADE_WORTH_M * (1 - share));
    }
    const hollow = slope && hollowM(place, slope);
    if (hollow !== undefined && hollow > 0) notes.comfort('hollow', hollow, 'm', HOLLOW_WORTH_M);
    const { checks, comforts, lack, discomfortM } = notes;
    return { ...place, checks, comforts, lack, discomfortM };
  };
}

/** Passes over how near the road is: what can be seen from it says more. */
class NotesOfSight extends Notes {
  override comfort(of: Comfort['of'], value: number | null, unit: 'm' | '%', costM: number): void {
    if (of !== 'road' || unit === '%') super.comfort(of, value, unit, costM);
  }
}

/**
 * How deep the ground inside the wire is clear along the nearer half of the stretch before a place, metres, up to twice the width
 * of mown ground. Farther off the straight may end in a corner of the wire, which is no harm.
 */
function clearInFront(loops: readonly Loop[], rules: Rules): (place: RatedPlace) => number {
  const segments = ringSegments(loops.map(({ ring }) => ring));
  const tree = segmentTree(segments);
  const reachM = 2 * rules.mowWidthM;
  return ({ at, ux, uy, beforeM }) => {
    const wantM = Math.min(beforeM, rules.stationStraightBeforeM);
    const [backX, backY] = [at.x - wantM * ux, at.y - wantM * uy];
    const [inX, inY] = [-reachM * uy, reachM * ux];
    const [minX, maxX] = [
      Math.min(at.x, backX, at.x + inX, backX + inX),
      Math.max(at.x, backX, at.x + inX, backX + inX),
    ];
    const [minY, maxY] = [
      Math.min(at.y, backY, at.y + inY, backY + inY),
      Math.max(at.y, backY, at.y + inY, backY + inY),
    ];
    let leastM = reachM;
    someSegment(tree, minX, minY, maxX, maxY, (segment) => {
      for (let back = 0; back <= wantM / 2; back += Math.max(wantM / 4, OWN_WIRE_M)) {
        const farM = rayMeets(at.x - back * ux, at.y - back * uy, -uy, ux, segments, segment);
        if (farM > OWN_WIRE_M && farM < leastM) leastM = farM;
      }
      return false;
    });
    return leastM;
  };
}
