import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  DerivedLawn,
  EdgedPolygon,
  LaidLoops,
  Loop,
  SitedStations,
  SlopeSurvey,
  Station,
  StationCandidate,
  WirePlace,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { LocalPlane, PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { outletsOf } from '#geo-core/siting/cable-ways.ts';
import { closeLook, finalists } from '#geo-core/siting/finalists.ts';
import { type FixedStation, fixedStations } from '#geo-core/siting/fixed-stations.ts';
import { type Rating, type RatingGround, ratePlaces } from '#geo-core/siting/rate-places.ts';
import {
  brokenOf,
  type Check,
  checksOf,
  type KnownPlace,
  type RatedPlace,
  type StationRule,
} from '#geo-core/siting/rated-place.ts';
import { adviseOn, reasonsFor, sayBroken } from '#geo-core/siting/reasons.ts';
import { headingOf, signalPlace } from '#geo-core/siting/signal-place.ts';
import { nearestSpot, spotsOnLoops } from '#geo-core/siting/spots-on-loops.ts';

export type SiteStationInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly edges: readonly EdgedPolygon[];
  readonly slope: SlopeSurvey | undefined;
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
};

/** A fixed station drawn farther from the wire than this was meant to stand elsewhere. Common practice, no source. */
const FIXED_MOVES_M = 1.5;

/**
 * Where the charging station may stand: places of the boundary wire measured by the hard rules, each with its margin, and ranked
 * by comfort (shade through the mowing season, sight from the road, sleepers, the drive home, the cable). The best is taken, or
 * the user's own place, looked at by the same rules; every other part of the ground gets the place where its signal unit is
 * connected.
 */
export function siteStation(input: SiteStationInput, rules: Rules): Staged<SitedStations> {
  const boundaries = input.loops.loops.filter(({ kind }) => kind === 'boundary');
  if (boundaries.length === 0) return { output: { stations: [], candidates: [] }, findings: [] };
  const allFixed = fixedStations(input.site, boundaries);
  const fixedAt = allFixed[0]?.at;
  const fixedSpot = fixedAt && nearestSpot(boundaries, fixedAt);
  const { site, lawn, edges, slope, zones } = input;
  const anywhere: RatingGround = { site, lawn, edges, slope, zones, home: undefined };
  const fixedZone = fixedSpot && ratePlaces(anywhere, [fixedSpot], rules).places[0].zone;
  const ground = { ...anywhere, home: fixedZone ?? zones.zones[0] };
  const spots = spotsOnLoops(boundaries, rules);
  const rating = ratePlaces(ground, fixedSpot ? [...spots, fixedSpot] : spots, rules);
  const closely = closeLook(rating, ground, input.loops.loops, rules);
  const places = rating.places.slice(0, spots.length);
  const fixed = fixedSpot && closely(rating.places[spots.length]);
  const ranked = finalists(places, zones, closely);
  const chosen = fixed ?? ranked[0];
  const main: Station = {
    ...wirePlaceAt(site.plane, chosen),
    id: 'station-1',
    role: 'charging',
    part: chosen.loop.part,
    fixedByUser: fixed !== undefined,
  };
  const outlets = outletsOf(site);
  const others = otherParts(boundaries, chosen.loop.part).map((part, index): Station => {
    const own = boundaries.filter((loop) => loop.part === part);
    const place = signalPlace(site.plane, own, outlets.length > 0 ? outlets : [chosen.at], rules);
    return { ...place, id: `station-${index + 2}`, role: 'signal-only', part, fixedByUser: false };
  });
  const output: SitedStations = {
    stations: [main, ...others],
    candidates: ranked.map((place, index) => candidateAt(site.plane, place, index + 1, rules)),
    ...(chosen.cable && { supplyCable: chosen.cable.line }),
  };
  const findings = [
    ...(fixed === undefined
      ? noPlace(rating, chosen)
      : brokenOf(fixed.checks).map((broken) => fixedBreaks(fixed, broken))),
    ...(fixed === undefined || fixedAt === undefined ? [] : fixedMoved(fixedAt, fixed)),
    ...moreFixed(allFixed),
    ...hollowUnder(chosen),
    ...(outlets.length === 0 ? [noOutlet(chosen)] : []),
  ];
  return { output, findings };
}

/** One station charges the machine: further ones are not used. */
function moreFixed(fixed: readonly FixedStation[]): Finding[] {
  return fixed.slice(1).map(({ at, pointer }) => ({
    code: 'site-station.fixed-twice',
    severity: 'caution',
    message: `${fixed.length} stations are drawn; the one nearest to the boundary wire is used, and this one is not.`,
    advice: 'Take the station that is not meant out of the site.',
    value: fixed.length,
    limit: 1,
    unit: '1',
    at,
    subject: pointer,
  }));
}

function otherParts(boundaries: readonly Loop[], mainPart: number): number[] {
  return [...new Set(boundaries.map(({ part }) => part))].filter((part) => part !== mainPart).toSorted((a, b) => a - b);
}

function wirePlaceAt(plane: LocalPlane, { at, ux, uy, loop, alongM }: RatedPlace): WirePlace {
  return { at, headingDeg: headingOf(plane, ux, uy), loopId: loop.id, alongM };
}

function candidateAt(plane: LocalPlane, place: KnownPlace, rankNumber: number, rules: Rules): StationCandidate {
  const { cable, slopePct, beforeM, behindM, checks, comforts } = place;
  return {
    ...wirePlaceAt(plane, place),
    rank: rankNumber,
    reasons: reasonsFor(place, rules),
    ...(cable && { cableM: cable.lengthM }),
    ...(slopePct !== undefined && { slopePct }),
    straightM: beforeM + behindM,
    margins: checks.flatMap(({ rule, value, limit, unit }) =>
      value === undefined || limit === undefined || unit === undefined ? [] : [{ rule, value, limit, unit }],
    ),
    comforts,
    discomfortM: place.discomfortM,
  };
}

/** Where no place keeps every rule: the rule broken most often, by how little it is missed at best, and what the place used lacks. */
function noPlace({ places, visit }: Rating, chosen: KnownPlace): Finding[] {
  const lacking = brokenOf(chosen.checks);
  if (lacking.length === 0) return [];
  const byRule = new Map<StationRule, Check[]>();
  for (const broken of [...places.flatMap((place) => brokenOf(checksOf(place, visit))), ...lacking]) {
    const same = byRule.get(broken.rule);
    if (same === undefined) byRule.set(broken.rule, [broken]);
    else same.push(broken);
  }
  const [[rule, all]] = [...byRule].toSorted(([, a], [, b]) => b.length - a.length);
  const nearest = all.reduce((best, broken) => (broken.missing < best.missing ? broken : best));
  const lacks = lacking.map(sayBroken).join('; ');
  const atBest = sayBroken(nearest);
  return [
    {
      code: 'site-station.no-place',
      severity: 'caution',
      message:
        `No place on the wire keeps every rule for the station (${places.length} looked at). It is set where least is missing: ${lacks}.` +
        (lacks === atBest ? '' : ` The rule broken most often, at its best: ${atBest}.`),
      advice: adviseOn(rule),
      ...figuresOf(nearest),
      at: chosen.at,
      subject: 'station-1',
    },
  ];
}

function fixedBreaks({ at }: RatedPlace, broken: Check): Finding {
  return {
    code: `site-station.fixed-${broken.rule}`,
    severity: 'caution',
    message: `The station as drawn breaks a rule: ${sayBroken(broken)}.`,
    advice: adviseOn(broken.rule),
    ...figuresOf(broken),
    at,
    subject: 'station-1',
  };
}

/** The station stands on the wire: one drawn elsewhere is moved there. */
function fixedMoved(given: PlanePoint, { at }: RatedPlace): Finding[] {
  const movedM = distanceM(given.x, given.y, at.x, at.y);
  if (movedM <= FIXED_MOVES_M) return [];
  return [
    {
      code: 'site-station.fixed-moved',
      severity: 'caution',
      message: `The station was drawn ${movedM.toFixed(1)} m from the boundary wire; it is moved to the nearest place on it.`,
      advice: 'Draw the station on the lawn edge where it is to stand.',
      value: movedM,
      limit: FIXED_MOVES_M,
      unit: 'm',
      at,
      subject: 'station-1',
    },
  ];
}

/** Water that cannot run off stands at the contacts. */
function hollowUnder({ at, comforts }: KnownPlace): Finding[] {
  const depthM = comforts.find(({ of }) => of === 'hollow')?.value ?? 0;
  if (depthM === 0) return [];
  return [
    {
      code: 'site-station.hollow',
      severity: 'caution',
      message: `The ground drains to the station: rain stands ${(100 * depthM).toFixed(0)} cm deep there before it runs off.`,
      advice: 'Raise the station on a slab, drain the place, or take another of the places listed.',
      value: depthM,
      limit: 0,
      unit: 'm',
      at,
      subject: 'station-1',
    },
  ];
}

function figuresOf({ value, limit, unit }: Check): Pick<Finding, 'value' | 'limit' | 'unit'> {
  return value === undefined || limit === undefined || unit === undefined ? {} : { value, limit, unit };
}

function noOutlet({ at }: RatedPlace): Finding {
  return {
    code: 'site-station.no-outlet',
    severity: 'note',
    message: 'No outlet is given, so the length of the supply cable is not known.',
    advice:
      'Draw the outlet the station is to be fed from; outdoors it needs residual-current protection by local rules.',
    at,
    subject: 'station-1',
  };
}
