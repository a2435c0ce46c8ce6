import type { Loop, SlopeSurvey, Zone, ZonedArea } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { placeOn, straightAlong, type Track, trackOf } from '#geo-core/plane/straight-along.ts';
import { visibility } from '#geo-core/plane/visibility.ts';
import { type CableWay, cableWays, outletsOf } from './cable-ways.ts';
import { ROAD_REACH_M, SHELTER_REACH_M, type Surroundings, surroundings } from './surroundings.ts';

/** A rule for the station that a place breaks. `missing` is the shortfall as a share of the limit, 1 where there is no figure. */
export type Broken = {
  readonly rule: StationRule;
  readonly missing: number;
  readonly value?: number;
  readonly limit?: number;
  readonly unit?: 'm' | '%';
};
export type StationRule =
  | 'straight-before'
  | 'straight-behind'
  | 'corner'
  | 'sprinkler'
  | 'zone'
  | 'passage'
  | 'cable'
  | 'slope';

/** A place of a boundary loop, measured. */
export type RatedPlace = {
  readonly loop: Loop;
  readonly alongM: number;
  readonly at: PlanePoint;
  /** Direction of travel, a unit vector. */
  readonly ux: number;
  readonly uy: number;
  readonly beforeM: number;
  readonly behindM: number;
  readonly zone: Zone | undefined;
  readonly slopePct: number | undefined;
  readonly cable: CableWay | undefined;
  readonly roadM: number;
  readonly shelterM: number;
  readonly broken: readonly Broken[];
  /** What the place lacks in comfort, in metres of cable: the least is the best. */
  readonly score: number;
};

export type Spot = { readonly loop: Loop; readonly alongM: number };

/** What is looked at to rate a place. */
export type RatingGround = {
  readonly site: PlaneSite;
  readonly slope: SlopeSurvey | undefined;
  readonly zones: ZonedArea;
  /** The zone the station has to stand in; undefined where any will do. */
  readonly home: Zone | undefined;
};

/** How far inside the wire one looks for the zone of a place, metres. */
const INSIDE_M = 0.05;
/** Cable is looked for up to this many times the allowed length, so that a shortfall can be told. */
const CABLE_SEARCH = 4;
/** Comfort, common practice, no source: weights in metres of cable. */
const ROOMY_STRAIGHT_M = 3;
const SHELTER_WORTH_M = 3;
const LEVEL_WORTH_M_PER_PCT = 0.5;

/** Measures places by the rules for the station and by comfort, in the order given. */
export function ratePlaces(ground: RatingGround, spots: readonly Spot[], rules: Rules): RatedPlace[] {
  const tracks = new Map<Loop, Track>();
  const trackFor = (loop: Loop): Track => {
    const track = tracks.get(loop) ?? trackOf(loop.ring);
    tracks.set(loop, track);
    return track;
  };
  const points = spots.map(({ loop, alongM }) => placeOn(trackFor(loop), alongM));
  const cables = cableWays(ground.site, points, CABLE_SEARCH * rules.supplyCableMaxM);
  const outlets = outletsOf(ground.site);
  const around = surroundings(ground.site);
  const zoneAt = zoneFinder(ground.zones);
  return spots.map(({ loop, alongM }, index): RatedPlace => {
    const at = points[index];
    const { beforeM, behindM, ux, uy } = straightAlong(
      trackFor(loop),
      alongM,
      rules.stationStraightBeforeM,
      rules.stationStraightBehindM,
    );
    const zone = zoneAt(loop, at.x - INSIDE_M * uy, at.y + INSIDE_M * ux);
    const told = ground.slope?.slopeAtPct(at.x, at.y);
    const slopePct = told === undefined || Number.isNaN(told) ? undefined : told;
    const cable = cables.get(index);
    const roadM = around.roadM(at.x, at.y);
    const shelterM = around.shelterM(at.x, at.y);
    const measured = { loop, alongM, at, beforeM, behindM, ux, uy, zone, slopePct, cable, roadM, shelterM };
    return {
      loop,
      alongM,
      at,
      beforeM,
      behindM,
      ux,
      uy,
      zone,
      slopePct,
      cable,
      roadM,
      shelterM,
      broken: brokenRules(measured, ground, outlets, around, rules),
      score: comfort(measured),
    };
  });
}

type Measured = Omit<RatedPlace, 'broken' | 'score'>;

function brokenRules(
  place: Measured,
  { zones, home }: RatingGround,
  outlets: readonly PlanePoint[],
  around: Surroundings,
  rules: Rules,
): Broken[] {
  const { at, beforeM, behindM, zone, slopePct } = place;
  const broken: Broken[] = [];
  atLeast(broken, 'straight-before', beforeM, rules.stationStraightBeforeM);
  atLeast(broken, 'straight-behind', behindM, rules.stationStraightBehindM);
  atLeast(broken, 'corner', Math.min(beforeM, behindM), rules.stationCornerClearM);
  const { clearM, radiusM } = around.sprinkler(at.x, at.y);
  if (clearM < 0) atLeast(broken, 'sprinkler', Math.max(0, radiusM + clearM), Math.max(radiusM, -clearM));
  if (zones.zones.length > 0 && zone === undefined) broken.push({ rule: 'passage', missing: 1 });
  else if (home !== undefined && zone !== home) broken.push({ rule: 'zone', missing: 1 });
  if (outlets.length > 0) broken.push(...cableBroken(place, outlets, rules.supplyCableMaxM));
  const slopeLimit = rules.slopeAtStationMaxPct;
  if (slopePct !== undefined && slopePct > slopeLimit) {
    broken.push({
      rule: 'slope',
      value: slopePct,
      limit: slopeLimit,
      unit: '%',
      missing: (slopePct - slopeLimit) / Math.max(1, slopeLimit),
    });
  }
  return broken;
}

function atLeast(broken: Broken[], rule: StationRule, value: number, limit: number): void {
  if (value < limit) broken.push({ rule, value, limit, unit: 'm', missing: (limit - value) / limit });
}

/** Where no way was found the straight distance stands in, or no figure at all where that would do. */
function cableBroken({ cable, at }: Measured, outlets: readonly PlanePoint[], limit: number): Broken[] {
  const straightM = Math.min(...outlets.map(({ x, y }) => distanceM(x, y, at.x, at.y)));
  const value = cable?.lengthM ?? straightM;
  if (cable !== undefined && value <= limit) return [];
  if (value <= limit) return [{ rule: 'cable', missing: 1 }];
  return [{ rule: 'cable', value, limit, unit: 'm', missing: (value - limit) / Math.max(1, limit) }];
}

function comfort({ cable, roadM, beforeM, behindM, shelterM, slopePct = 0 }: Measured): number {
  const nearRoadM = ROAD_REACH_M - Math.min(ROAD_REACH_M, roadM);
  const crampedM = Math.max(0, ROOMY_STRAIGHT_M - Math.min(beforeM, behindM));
  const exposedM = shelterM <= SHELTER_REACH_M ? 0 : SHELTER_WORTH_M;
  return (cable?.lengthM ?? 0) + nearRoadM + crampedM + exposedM + LEVEL_WORTH_M_PER_PCT * slopePct;
}

function zoneFinder({ zones }: ZonedArea): (loop: Loop, x: number, y: number) => Zone | undefined {
  const grounds = zones.map((zone) => ({ zone, ground: visibility(zone.polygons, []) }));
  return (loop, x, y) => {
    for (const { zone, ground } of grounds) if (zone.area === loop.area && ground.holds(x, y)) return zone;
    return undefined;
  };
}
