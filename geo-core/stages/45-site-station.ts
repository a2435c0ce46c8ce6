import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  DerivedLawn,
  LaidLoops,
  Loop,
  SitedStations,
  SlopeSurvey,
  Station,
  StationCandidate,
  WirePlace,
  Zone,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { arcTangent } from '#geo-core/projection/portable-functions.ts';
import { outletsOf } from '#geo-core/siting/cable-ways.ts';
import { type Broken, type RatedPlace, ratePlaces, type StationRule } from '#geo-core/siting/rate-places.ts';
import { adviseOn, reasonsFor, sayBroken } from '#geo-core/siting/reasons.ts';
import { nearestSpot, spotsOnLoops } from '#geo-core/siting/spots-on-loops.ts';

export type SiteStationInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly slope: SlopeSurvey | undefined;
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
};

const MOST_CANDIDATES = 24;
/** Candidates stand at least this far apart: nobody chooses between neighbours. */
const CANDIDATES_APART_M = 2;
/** A fixed station drawn farther from the wire than this was meant to stand elsewhere. Common practice, no source. */
const FIXED_MOVES_M = 1.5;

/**
 * Where the charging station may stand: places of the boundary wire measured by the rules (straight wire, corner, sprinklers,
 * zone, cable, slope), ranked by comfort. The best is taken, or the user's own place; every other part of the ground
 * gets the place where its signal unit is connected.
 */
export function siteStation(input: SiteStationInput, rules: Rules): Staged<SitedStations> {
  const boundaries = input.loops.loops.filter(({ kind }) => kind === 'boundary');
  if (boundaries.length === 0) return { output: { stations: [], candidates: [] }, findings: [] };
  const fixedAt = fixedStation(input.site);
  const fixedSpot = fixedAt && nearestSpot(boundaries, fixedAt);
  const ground = { site: input.site, slope: input.slope, zones: input.zones, home: undefined };
  const [fixedBare] = fixedSpot === undefined ? [] : ratePlaces(ground, [fixedSpot], rules);
  const home = fixedBare?.zone ?? input.zones.zones[0];
  const [fixed] = fixedSpot === undefined ? [] : ratePlaces({ ...ground, home }, [fixedSpot], rules);
  const places = ratePlaces({ ...ground, home }, spotsOnLoops(boundaries, rules), rules);
  const ranked = rank(places, input.zones);
  const chosen = fixed ?? ranked[0];
  const main = stationAt(chosen, 'charging', 1, fixed !== undefined);
  const others = otherParts(boundaries, chosen.loop.part).map((part, index) =>
    stationAt(signalPlace(places, part, input.site, chosen.at), 'signal-only', index + 2, false),
  );
  const output: SitedStations = {
    stations: [main, ...others],
    candidates: thinned(ranked).map((place, index) => candidateAt(place, index + 1, rules)),
    ...(chosen.cable && { supplyCable: chosen.cable.line }),
  };
  const findings = [
    ...(fixed === undefined ? noPlace(places, chosen) : fixed.broken.map((broken) => fixedBreaks(fixed, broken))),
    ...(fixed === undefined || fixedAt === undefined ? [] : fixedMoved(fixedAt, fixed)),
    ...(outletsOf(input.site).length === 0 ? [noOutlet(chosen)] : []),
  ];
  return { output, findings };
}

function fixedStation({ features }: PlaneSite): PlanePoint | undefined {
  const shape = features.find(({ kind }) => kind === 'station')?.shape;
  return shape?.type === 'point' ? shape.points[0] : undefined;
}

/** Places by what they lack of the rules, then the larger zone, then comfort: what keeps every rule comes first. */
function rank(places: readonly RatedPlace[], { zones }: ZonedArea): RatedPlace[] {
  const order = new Map<Zone | undefined, number>(zones.map((zone, index) => [zone, index]));
  const ranked = places.map((place) => {
    let lacks = 0;
    for (const { missing } of place.broken) lacks += missing;
    return { place, lacks, zone: order.get(place.zone) ?? zones.length };
  });
  ranked.sort((a, b) => a.lacks - b.lacks || a.zone - b.zone || a.place.score - b.place.score);
  return ranked.map(({ place }) => place);
}

/** The best places, apart from each other; places that break more than their zone only where there are no others. */
function thinned(ranked: readonly RatedPlace[]): RatedPlace[] {
  const usable = ranked.filter(({ broken }) => broken.every(({ rule }) => rule === 'zone'));
  const kept: RatedPlace[] = [];
  for (const place of usable.length > 0 ? usable : ranked) {
    if (kept.length === MOST_CANDIDATES) break;
    if (kept.every(({ at }) => distanceM(at.x, at.y, place.at.x, place.at.y) >= CANDIDATES_APART_M)) kept.push(place);
  }
  return kept;
}

function otherParts(boundaries: readonly Loop[], mainPart: number): number[] {
  return [...new Set(boundaries.map(({ part }) => part))].filter((part) => part !== mainPart).toSorted((a, b) => a - b);
}

/** The place of a part with the straightest wire that is wanted, nearest to an outlet, or to the charging station where there is none. */
function signalPlace(places: readonly RatedPlace[], part: number, site: PlaneSite, stationAt: PlanePoint): RatedPlace {
  const outlets = outletsOf(site);
  const goals = outlets.length > 0 ? outlets : [stationAt];
  const awayM = ({ at }: RatedPlace): number => Math.min(...goals.map(({ x, y }) => distanceM(at.x, at.y, x, y)));
  const crooked = ({ broken }: RatedPlace): number =>
    broken.reduce((sum, { rule, missing }) => (rule.startsWith('straight') ? sum + missing : sum), 0);
  return places
    .filter(({ loop }) => loop.part === part)
    .map((place) => ({ place, crooked: crooked(place), awayM: awayM(place) }))
    .toSorted((a, b) => a.crooked - b.crooked || a.awayM - b.awayM)[0].place;
}

function wirePlaceAt({ at, ux, uy, loop, alongM }: RatedPlace): WirePlace {
  const headingDeg = Math.round((arcTangent(ux, uy) * 180 * 1e4) / Math.PI) / 1e4;
  return { at, headingDeg: headingDeg < 0 ? headingDeg + 360 : headingDeg, loopId: loop.id, alongM };
}

function stationAt(place: RatedPlace, role: Station['role'], number: number, fixedByUser: boolean): Station {
  return { ...wirePlaceAt(place), id: `station-${number}`, role, part: place.loop.part, fixedByUser };
}

function candidateAt(place: RatedPlace, rankNumber: number, rules: Rules): StationCandidate {
  const { cable, slopePct, beforeM, behindM } = place;
  return {
    ...wirePlaceAt(place),
    rank: rankNumber,
    reasons: reasonsFor(place, rules),
    ...(cable && { cableM: cable.lengthM }),
    ...(slopePct !== undefined && { slopePct }),
    straightM: beforeM + behindM,
  };
}

/** Where no place keeps every rule: the rule broken most often, by how little it is missed at best, and what the place used lacks. */
function noPlace(places: readonly RatedPlace[], chosen: RatedPlace): Finding[] {
  if (chosen.broken.length === 0) return [];
  const byRule = new Map<StationRule, Broken[]>();
  for (const broken of places.flatMap((place) => place.broken)) {
    const same = byRule.get(broken.rule);
    if (same === undefined) byRule.set(broken.rule, [broken]);
    else same.push(broken);
  }
  const [[rule, all]] = [...byRule].toSorted(([, a], [, b]) => b.length - a.length);
  const nearest = all.reduce((best, broken) => (broken.missing < best.missing ? broken : best));
  const lacks = chosen.broken.map(sayBroken).join('; ');
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

function fixedBreaks({ at }: RatedPlace, broken: Broken): Finding {
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

function figuresOf({ value, limit, unit }: Broken): Pick<Finding, 'value' | 'limit' | 'unit'> {
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
