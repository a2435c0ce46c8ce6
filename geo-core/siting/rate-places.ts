import { voltageDropV } from '#geo-core/field/conductor.ts';
import type { DerivedLawn, EdgedPolygon, Loop, SlopeSurvey, Zone, ZonedArea } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { centroidOf, distanceM } from '#geo-core/plane/measure.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { placeOn, straightAlong, type Track, trackOf } from '#geo-core/plane/straight-along.ts';
import { visibility } from '#geo-core/plane/visibility.ts';
import { cableWays, outletsOf } from './cable-ways.ts';
import { type Comfort, Count, type RatedPlace, type Visit, visitAtLeast, visitAtMost } from './rated-place.ts';
import { type Pad, padPoints, padSlopePct } from './station-pad.ts';
import {
  BEDROOM_REACH_M,
  NEIGHBOUR_REACH_M,
  ROAD_REACH_M,
  SHELTER_REACH_M,
  type Surroundings,
  surroundings,
} from './surroundings.ts';

export type Spot = { readonly loop: Loop; readonly alongM: number };

/** What is looked at to rate a place. */
export type RatingGround = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly edges: readonly EdgedPolygon[];
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
const CENTRAL_WORTH_M_PER_M = 0.1;
const BEDROOM_WORTH_M_PER_M = 1;
const NEIGHBOUR_WORTH_M_PER_M = 0.5;

/** Places by the rules and by the comforts that cost little to measure; what is visited of a place can be visited again. */
export type Rating = {
  /** In the order of the spots. */
  readonly places: readonly RatedPlace[];
  readonly visit: (place: RatedPlace, visit: Visit) => void;
};

export function ratePlaces(ground: RatingGround, spots: readonly Spot[], rules: Rules): Rating {
  const tracks = new Map<Loop, Track>();
  const trackFor = (loop: Loop): Track => {
    const track = tracks.get(loop) ?? trackOf(loop.ring);
    tracks.set(loop, track);
    return track;
  };
  const points = spots.map(({ loop, alongM }) => placeOn(trackFor(loop), alongM));
  const cables = cableWays(ground.site, points, CABLE_SEARCH * rules.supplyCableMaxM);
  const zoneAt = zoneFinder(ground.zones);
  const [outlets, around] = [
    outletsOf(ground.site),
    surroundings(ground.site, ground.edges, rules.stationHazardClearM),
  ];
  const middles = ground.zones.zones.map(({ area, areaM2, polygons }) => ({
    area,
    areaM2,
    middle: centroidOf(polygons),
  }));
  const visitAll = (place: RatedPlace, visit: Visit): void => {
    visitWire(place, rules, visit);
    visitGround(place, ground, around, rules, visit);
    if (outlets.length > 0) visitCable(place, outlets, rules, visit);
    visitComforts(place, middles, around, visit);
  };
  const places = spots.map(({ loop, alongM }, index): RatedPlace => {
    const at = points[index];
    const { stationStraightBeforeM: wantBeforeM, stationStraightBehindM: wantBehindM } = rules;
    const { beforeM, behindM, ux, uy } = straightAlong(trackFor(loop), alongM, wantBeforeM, wantBehindM);
    const zone = zoneAt(loop, at.x - INSIDE_M * uy, at.y + INSIDE_M * ux);
    const slopePct = ground.slope && padSlopePct(padOf({ at, ux, uy }, rules), ground.slope);
    const cable = cables.get(index);
    const bare = { loop, alongM, at, beforeM, behindM, ux, uy, zone, slopePct, cable, lack: 0, discomfortM: 0 };
    const count = new Count();
    visitAll(bare, count);
    bare.lack = count.lack;
    bare.discomfortM = count.discomfortM;
    return bare;
  });
  return { places, visit: visitAll };
}

/** The ground that the rules want for the station, whatever the straight there is. */
function padOf({ at, ux, uy }: Pick<Pad, 'at' | 'ux' | 'uy'>, rules: Rules): Pad {
  return { at, ux, uy, beforeM: rules.stationStraightBeforeM, behindM: rules.stationStraightBehindM };
}

function visitWire({ beforeM, behindM }: RatedPlace, rules: Rules, visit: Visit): void {
  visitAtLeast(visit, 'straight-before', beforeM, rules.stationStraightBeforeM);
  visitAtLeast(visit, 'straight-behind', behindM, rules.stationStraightBehindM);
  visitAtLeast(visit, 'corner', Math.min(beforeM, behindM), rules.stationCornerClearM);
}

function visitGround(
  place: RatedPlace,
  { zones, home, lawn }: RatingGround,
  around: Surroundings,
  rules: Rules,
  visit: Visit,
): void {
  const { at, zone, slopePct } = place;
  const { clearM, radiusM } = around.sprinkler(at.x, at.y);
  if (clearM < 0) visitAtLeast(visit, 'sprinkler', Math.max(0, radiusM + clearM), Math.max(radiusM, -clearM));
  if (zones.zones.length > 0 && zone === undefined) visit.rule('passage', 1);
  else if (home !== undefined && zone !== home) visit.rule('zone', 1);
  const hazardM = around.hazardM(at.x, at.y);
  if (Number.isFinite(hazardM)) visitAtLeast(visit, 'hazard', hazardM, rules.stationHazardClearM);
  if (lawn.noWire.length > 0) {
    const isOn = ({ x, y }: PlanePoint): boolean => lawn.noWire.some((polygon) => pointInPolygon(polygon, x, y));
    if (padPoints(padOf(place, rules)).some(isOn)) visit.rule('no-wire', 1);
  }
  if (slopePct !== undefined) visitAtMost(visit, 'slope', slopePct, rules.slopeAtStationMaxPct, '%');
}

/**
 * Where no way was found the straight distance stands in, or no figure at all where that would do. The drop on the low-voltage cable
 * from the power unit at the outlet is that of IEC 60364-5-52 Annex G (`voltageDropV`), percent of its voltage.
 */
function visitCable({ cable, at }: RatedPlace, outlets: readonly PlanePoint[], rules: Rules, visit: Visit): void {
  const limit = rules.supplyCableMaxM;
  if (cable === undefined) {
    const straightM = Math.min(...outlets.map(({ x, y }) => distanceM(x, y, at.x, at.y)));
    if (straightM <= limit) visit.rule('cable', 1);
    else visitAtMost(visit, 'cable', straightM, limit, 'm');
    return;
  }
  visitAtMost(visit, 'cable', cable.lengthM, limit, 'm');
  const dropV = voltageDropV({ currentA: rules.supplyA, lengthM: cable.lengthM, areaMm2: rules.supplyMm2 });
  visitAtMost(visit, 'voltage', (100 * dropV) / rules.supplyV, rules.supplyDropMaxPct, '%');
}

function visitComforts(place: RatedPlace, middles: ZoneMiddles, around: Surroundings, visit: Visit): void {
  const { at, cable, beforeM, behindM, slopePct } = place;
  if (cable !== undefined) visit.comfort('cable', cable.lengthM, 'm', cable.lengthM);
  const shortM = Math.min(beforeM, behindM);
  visit.comfort('straight', shortM, 'm', Math.max(0, ROOMY_STRAIGHT_M - shortM));
  const shelterM = around.shelterM(at.x, at.y);
  const isSheltered = shelterM <= SHELTER_REACH_M;
  visit.comfort('shelter', isSheltered ? shelterM : null, 'm', isSheltered ? 0 : SHELTER_WORTH_M);
  visitNear(visit, 'road', around.roadM(at.x, at.y), ROAD_REACH_M, 1);
  visitNear(visit, 'bedroom', around.bedroomM(at.x, at.y), BEDROOM_REACH_M, BEDROOM_WORTH_M_PER_M);
  visitNear(visit, 'neighbour', around.neighbourM(at.x, at.y), NEIGHBOUR_REACH_M, NEIGHBOUR_WORTH_M_PER_M);
  const homeM = driveHomeM(place, middles);
  if (homeM !== undefined) visit.comfort('central', homeM, 'm', CENTRAL_WORTH_M_PER_M * homeM);
  if (slopePct !== undefined) visit.comfort('level', slopePct, '%', LEVEL_WORTH_M_PER_PCT * slopePct);
}

/** Something better kept away from, as far as it matters. */
function visitNear(visit: Visit, of: Comfort['of'], value: number, reachM: number, worth: number): void {
  if (value <= reachM) visit.comfort(of, value, 'm', worth * (reachM - value));
}

/** The zones of each area of ground, each by its centre. */
type ZoneMiddles = readonly (Pick<Zone, 'area' | 'areaM2'> & { readonly middle: PlanePoint })[];

/** How far the machine drives home from the zones of its ground, from the centre of each, by area: as the crow flies. */
function driveHomeM({ loop, at }: RatedPlace, middles: ZoneMiddles): number | undefined {
  let [sumM2, farM] = [0, 0];
  for (const { area, areaM2, middle } of middles) {
    if (area !== loop.area) continue;
    sumM2 += areaM2;
    farM += areaM2 * distanceM(at.x, at.y, middle.x, middle.y);
  }
  return sumM2 > 0 ? farM / sumM2 : undefined;
}

function zoneFinder({ zones }: ZonedArea): (loop: Loop, x: number, y: number) => Zone | undefined {
  const grounds = zones.map((zone) => ({ zone, ground: visibility(zone.polygons, []) }));
  return (loop, x, y) => {
    for (const { zone, ground } of grounds) if (zone.area === loop.area && ground.holds(x, y)) return zone;
    return undefined;
  };
}
