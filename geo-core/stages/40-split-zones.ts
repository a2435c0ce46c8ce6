import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { Connectivity, DerivedLawn, LaidLoops, Passage, Zone, ZonedArea } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { spoken } from '#geo-core/model/spoken.ts';
import { pointToPolygonsM, polygonsApart } from '#geo-core/plane/clearance-apart.ts';
import { clearanceZones, type Way as NarrowWay } from '#geo-core/plane/clearance-zones.ts';
import { lineLengthM, polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { nearly } from '#geo-core/plane/nearly.ts';
import { reversedRing as reversedLine } from '#geo-core/plane/polygons.ts';
import type { Place } from '#geo-core/plane/widest-place.ts';
import { fixedStations } from '#geo-core/siting/fixed-stations.ts';

export type SplitZonesInput = { readonly site: PlaneSite; readonly lawn: DerivedLawn; readonly loops: LaidLoops };

/** A way between two zones: passable from `driveWidthM` on. */
type Way = NarrowWay & { readonly connects: readonly [string, string] };
type BareZone = Omit<Zone, 'connectivity'>;

/** The clearance of a way may fall this short of a limit: rounding. */
const WIDTH_SLACK_M = 1e-6;
/** Figures are said to the centimetre, what to widen by is rounded up to it. */
const SAID_M = 0.01;

/**
 * The ground inside the wires -> zones (mown throughout, with their corners), the passages between them with their exact clear
 * width, and how the machine gets to each zone.
 *
 * The zone of the station (the user's, else the largest) is `reachable`; zones that a chain of passages of `driveWidthM` or more
 * joins to it are `narrow-passage`; all others `isolated`. Corridors and tails narrower than `mowWidthM` belong to no zone.
 */
export function splitZones({ site, loops }: SplitZonesInput, rules: Rules): Staged<ZonedArea> {
  const findings: Finding[] = [];
  const found = loops.workingArea.map((polygon, area) => {
    const parts = clearanceZones(polygon, rules);
    if (parts.zones.length === 0) findings.push(tooNarrow(parts.widest, polygonAreaM2(polygon), rules));
    return { ...parts, area };
  });
  const { zones: bare, ways } = nameZones(found);
  const passages = namePassages(ways);
  const connectivity = connect(bare, passages, homeZone(site, loops, bare));
  const zones = bare.map((zone) => ({ ...zone, connectivity: connectivity.get(zone.id) ?? 'isolated' }));
  for (const passage of passages) findings.push(narrowPassage(passage, rules));
  for (const zone of zones) {
    if (zone.connectivity === 'isolated') findings.push(isolated(zone, zones, ways, loops, rules));
  }
  return { output: { zones, passages }, findings };
}

type FoundArea = ReturnType<typeof clearanceZones> & { readonly area: number };

/** Ids by falling area; equally large zones from the lowest and then the leftmost widest place on. */
function nameZones(found: readonly FoundArea[]): { zones: readonly BareZone[]; ways: readonly Way[] } {
  const ordered = found
    .flatMap(({ zones, area }) => zones.map((zone, index) => ({ ...zone, area, index })))
    .filter(({ polygons }) => polygons.length > 0)
    .sort(
      (a, b) =>
        nearly(b.areaM2, a.areaM2) ||
        nearly(a.widest.at.y, b.widest.at.y) ||
        a.widest.at.x - b.widest.at.x ||
        a.area - b.area,
    );
  const idOf = new Map(ordered.map(({ area, index }, i) => [`${area} ${index}`, `zone-${i + 1}`]));
  const zones = ordered.map(({ polygons, areaM2, area, widest }, i) => ({
    id: `zone-${i + 1}`,
    polygons,
    areaM2,
    area,
    widestRadiusM: widest.radiusM,
    widestAt: widest.at,
  }));
  const ways = found.flatMap(({ ways, area }) =>
    ways.flatMap((way) => {
      const [one, two] = way.between.map((index) => idOf.get(`${area} ${index}`));
      return one !== undefined && two !== undefined && one !== two ? [{ ...way, connects: [one, two] as const }] : [];
    }),
  );
  return { zones, ways };
}

/** Ways of the driving width, ids by the zones they connect, the wider of two first. Lines run from the zone with the lower number. */
function namePassages(ways: readonly Way[]): Passage[] {
  const rank = (id: string): number => Number(id.slice('zone-'.length));
  return ways
    .flatMap(({ centreLine, widthM, touches, connects: [one, two] }) => {
      if (centreLine === undefined) return [];
      const isForward = rank(one) <= rank(two);
      return [
        {
          centreLine: isForward ? centreLine : reversedLine(centreLine),
          widthM,
          lengthM: lineLengthM(centreLine),
          narrowestAt: touches,
          connects: isForward ? ([one, two] as const) : ([two, one] as const),
        },
      ];
    })
    .toSorted(
      (a, b) =>
        rank(a.connects[0]) - rank(b.connects[0]) || rank(a.connects[1]) - rank(b.connects[1]) || b.widthM - a.widthM,
    )
    .map((passage, i) => ({ id: `passage-${i + 1}`, ...passage }));
}

/** The zone that holds the station set by the user (or lies nearest to it), else the largest. */
function homeZone(site: PlaneSite, loops: LaidLoops, zones: readonly BareZone[]): BareZone | undefined {
  const [station] = fixedStations(
    site,
    loops.loops.filter(({ kind }) => kind === 'boundary'),
  );
  const at = station?.at;
  if (at === undefined) return zones[0];
  return zones
    .map((zone) => ({ zone, farM: pointToPolygonsM(at, zone.polygons) }))
    .reduce<{ zone?: BareZone; farM: number }>((best, next) => (next.farM < best.farM ? next : best), {
      farM: Number.POSITIVE_INFINITY,
    }).zone;
}

function connect(
  zones: readonly BareZone[],
  passages: readonly Passage[],
  home: BareZone | undefined,
): ReadonlyMap<string, Connectivity> {
  const connectivity = new Map<string, Connectivity>(zones.map(({ id }) => [id, 'isolated']));
  if (home === undefined) return connectivity;
  connectivity.set(home.id, 'reachable');
  const next = new Map<string, string[]>(zones.map(({ id }) => [id, []]));
  for (const { connects } of passages) {
    next.get(connects[0])?.push(connects[1]);
    next.get(connects[1])?.push(connects[0]);
  }
  const queue = [home.id];
  for (const id of queue) {
    for (const other of next.get(id) ?? []) {
      if (connectivity.get(other) !== 'isolated') continue;
      connectivity.set(other, 'narrow-passage');
      queue.push(other);
    }
  }
  return connectivity;
}

// --- findings --------------------------------------------------------------------------------------------------------------------

const said = (valueM: number): string => valueM.toFixed(2);
/** What is missing to a width, rounded up, so that doing as advised is enough. */
const missing = (haveM: number, wantM: number): string => said(Math.ceil((wantM - haveM) / SAID_M - 1e-6) * SAID_M);

function tooNarrow(widest: Place | undefined, areaM2: number, rules: Rules): Finding {
  const widthM = 2 * (widest?.radiusM ?? 0);
  const canDrive = widthM >= rules.driveWidthM - WIDTH_SLACK_M;
  return {
    code: 'split-zones.too-narrow',
    severity: 'caution',
    message:
      `${areaM2.toFixed(1)} m² inside the wire are nowhere wider than ${said(widthM)} m between wires; ` +
      (canDrive
        ? `the machine can drive there but needs ${said(rules.mowWidthM)} m to mow throughout.`
        : `the machine needs ${said(rules.driveWidthM)} m to drive and ${said(rules.mowWidthM)} m to mow.`),
    advice: `Widen the ground by ${missing(widthM, rules.mowWidthM)} m, or leave it without wire and mow it by hand.`,
    value: widthM,
    limit: rules.mowWidthM,
    unit: 'm',
    ...(widest && { at: widest.at }),
  };
}

function narrowPassage({ id, widthM, lengthM, narrowestAt: [p, q], connects }: Passage, rules: Rules): Finding {
  return {
    code: 'split-zones.narrow-passage',
    severity: 'note',
    message:
      `Between ${spoken(connects[0])} and ${spoken(connects[1])} the wires come as near as ${said(widthM)} m; over ${lengthM.toFixed(1)} m the machine ` +
      `can drive but not mow.`,
    advice: `Widen it by ${missing(widthM, rules.mowWidthM)} m to make one zone of the two; else mow the passage by hand.`,
    value: widthM,
    limit: rules.mowWidthM,
    unit: 'm',
    at: { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 },
    subject: id,
  };
}

function isolated(zone: Zone, zones: readonly Zone[], ways: readonly Way[], loops: LaidLoops, rules: Rules): Finding {
  const areaSaid = `${spoken(zone.id)} (${zone.areaM2.toFixed(0)} m²)`;
  const common = { code: 'split-zones.zone-isolated', severity: 'caution', subject: zone.id, unit: 'm' } as const;
  const carry = 'or carry the machine there';
  const gap = widestGap(zone, ways, rules);
  if (gap !== undefined) {
    const [p, q] = gap.touches;
    return {
      ...common,
      message: `${areaSaid} hangs on the rest by ${said(gap.widthM)} m between wires; the machine needs ${said(rules.driveWidthM)} m to drive through.`,
      advice: `Widen that place by ${missing(gap.widthM, rules.driveWidthM)} m (by ${missing(gap.widthM, rules.mowWidthM)} m to mow it too), ${carry}.`,
      value: gap.widthM,
      limit: rules.driveWidthM,
      at: { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 },
    };
  }
  const nearest = nearestReached(zone, zones);
  const isSamePart =
    nearest !== undefined && loops.workingArea[zone.area].part === loops.workingArea[nearest.zone.area].part;
  return {
    ...common,
    message:
      nearest === undefined
        ? `The machine does not get to ${areaSaid} by itself.`
        : `The machine does not get to ${areaSaid} by itself: ${said(nearest.distanceM)} m from ${spoken(nearest.zone.id)}, ` +
          (isSamePart
            ? 'and the ground between them is too narrow for two wires.'
            : 'and no lawn or crossing lies between them.'),
    advice: isSamePart
      ? `Widen the ground between them until the wires are ${said(rules.driveWidthM)} m apart, ${carry}.`
      : `It has wire and a signal unit of its own here: carry the machine there, or draw a crossing if it may drive over.`,
    ...(nearest !== undefined && { value: nearest.distanceM }),
    at: zone.widestAt,
  };
}

/** The widest way, too narrow to drive, out of the ground that the machine can drive over from the zone. */
function widestGap(zone: Zone, ways: readonly Way[], rules: Rules): Way | undefined {
  const canDrive = ({ widthM }: Way): boolean => widthM >= rules.driveWidthM - WIDTH_SLACK_M;
  const group = new Set([zone.id]);
  for (const id of group) {
    for (const way of ways) {
      if (canDrive(way) && way.connects.includes(id)) for (const other of way.connects) group.add(other);
    }
  }
  return ways
    .filter((way) => !canDrive(way) && group.has(way.connects[0]) !== group.has(way.connects[1]))
    .reduce<Way | undefined>((best, way) => (best === undefined || way.widthM > best.widthM ? way : best), undefined);
}

function nearestReached(zone: Zone, zones: readonly Zone[]): { zone: Zone; distanceM: number } | undefined {
  let best: { zone: Zone; distanceM: number } | undefined;
  for (const other of zones) {
    if (other.connectivity === 'isolated') continue;
    const apart = polygonsApart(zone.polygons, other.polygons);
    if (apart !== undefined && apart.distanceM < (best?.distanceM ?? Number.POSITIVE_INFINITY)) {
      best = { zone: other, distanceM: apart.distanceM };
    }
  }
  return best;
}
