/* Long because every rule of siting is broken once, in a garden drawn for it. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { EdgeRing, InsetPolygon, SitedStations, Zone } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { PlaneFeature, PlaneShape } from '#geo-core/model/site.ts';
import { distanceM, lineLengthM, ringLengthM } from '#geo-core/plane/measure.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { type SiteStationInput, siteStation } from '#geo-core/stages/45-site-station.ts';
import { goldenSite, rectangle, ring } from '../../support/golden-garden.ts';
import { ellipse, joinInput, polygonOf } from '../../support/joined-gardens.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { slopeSurveyOf } from '../../support/slope-survey.ts';

useKernel();

const rules = RULE_SETS[0];

function feature(kind: PlaneFeature['kind'], shape: PlaneShape, more: Partial<PlaneFeature> = {}): PlaneFeature {
  return { kind, pointer: '/features/0', shape, ...more };
}
const at = (x: number, y: number): PlaneShape => ({ type: 'point', points: [{ x, y }] });
const area = (outer: Ring): PlaneShape => ({ type: 'area', polygons: [polygonOf(outer)] });

type Garden = {
  readonly features?: readonly PlaneFeature[];
  readonly boundaries?: readonly Ring[];
  readonly zones?: readonly Polygon[];
  readonly height?: (x: number, y: number) => number;
  readonly apart?: boolean;
};

/** A lawn of 30 x 20 m, wire 0.3 m inside it, one zone, and what is drawn round it. */
function garden({ features = [], boundaries, zones, height, apart = false }: Garden): SiteStationInput {
  const rings = boundaries ?? [rectangle(0.3, 0.3, 29.7, 19.7)];
  const { lawn, loops } = joinInput({
    ground: [polygonOf(rectangle(0, 0, 30, 20))],
    boundaries: rings,
    partOf: (each) => (apart ? rings.indexOf(each) : 0),
  });
  const own = loops.loops.map((loop, index) => ({ ...loop, area: index }));
  const workingArea = own.map((loop): InsetPolygon => ({ outer: loop.ring, holes: [], part: loop.part }));
  const zoneOf = (polygon: Polygon, index: number): Zone => ({
    id: `zone-${index + 1}`,
    polygons: [polygon],
    areaM2: 1000 - index,
    connectivity: 'reachable',
    area: zones === undefined ? index : 0,
    widestRadiusM: 5,
    widestAt: { x: 0, y: 0 },
  });
  const survey = height && slopeSurveyOf(height);
  return {
    site: { ...goldenSite, features },
    lawn,
    edges: [],
    slope: survey,
    loops: { ...loops, workingArea, loops: own },
    zones: { zones: (zones ?? workingArea).map(zoneOf), passages: [] },
  };
}

const house = feature('building', area(rectangle(5, 20, 25, 28)));
const outletInWall = feature('outlet', at(15, 20));

describe('the place of the charging station', () => {
  const input = garden({ features: [house, outletInWall] });
  const sited = (): SitedStations => siteStation(input, rules).output;

  test('it stands on the wire, at the wall, next to the outlet, and nothing is found wanting', () => {
    const [station] = sited().stations;
    expect(siteStation(input, rules).findings).toEqual([]);
    expect(station).toMatchObject({ id: 'station-1', role: 'charging', part: 0, fixedByUser: false });
    expect(station.at.y).toBeCloseTo(19.7, 9);
    expect(Math.abs(station.at.x - 15)).toBeLessThanOrEqual(0.5);
  });

  test('it faces along the wire, anticlockwise: west on the upper side', () => {
    expect(sited().stations[0].headingDeg).toBe(270);
  });

  test('its place along the wire and its coordinates are the same place', () => {
    const [station] = sited().stations;
    expect(station.alongM).toBeCloseTo(29.4 + 19.4 + (29.7 - station.at.x), 9);
  });

  test('the supply cable runs straight from the outlet to it', () => {
    const output = sited();
    const [station] = output.stations;
    const cable = output.supplyCable ?? new Float64Array();
    expect(Array.from(cable)).toEqual([15, 20, station.at.x, station.at.y]);
    expect(output.candidates[0].cableM).toBeCloseTo(lineLengthM(cable), 12);
  });

  test('a dozen candidates are ranked, each with its reasons in figures', () => {
    const { candidates } = sited();
    expect(candidates.length).toBeGreaterThan(5);
    expect(candidates.length).toBeLessThanOrEqual(12);
    expect(candidates.map(({ rank }) => rank)).toEqual(candidates.map((_, index) => index + 1));
    for (const { reasons } of candidates) expect(reasons.join()).toMatch(/\d m of supply cable.*\d m straight wire/);
  });

  test('every candidate keeps the straight wire, the corners and the cable', () => {
    for (const candidate of sited().candidates) {
      expect(candidate.cableM).toBeLessThanOrEqual(rules.supplyCableMaxM);
      const { x, y } = candidate.at;
      const cornerM = Math.min(
        ...[
          [0.3, 0.3],
          [29.7, 0.3],
          [29.7, 19.7],
          [0.3, 19.7],
        ].map(([cx, cy]) => distanceM(x, y, cx, cy)),
      );
      // Wire that leaves the line by no more than 20 mm is straight still.
      expect(cornerM).toBeGreaterThanOrEqual(rules.stationCornerClearM - 0.02 - 1e-9);
    }
  });
});

describe('what keeps it away', () => {
  test('the throw of a sprinkler', () => {
    const sprinkler = feature('sprinkler', at(15, 16), { radiusM: 6 });
    const { output } = siteStation(garden({ features: [house, outletInWall, sprinkler] }), rules);
    for (const { at: place } of output.candidates) {
      expect(distanceM(place.x, place.y, 15, 16)).toBeGreaterThanOrEqual(6);
    }
  });

  test('slope under it', () => {
    const height = (x: number): number => 0.02 * x + 0.06 * Math.max(0, x - 12);
    const { output } = siteStation(garden({ features: [house, outletInWall], height }), rules);
    for (const { at: place, slopePct } of output.candidates) {
      expect(place.x).toBeLessThanOrEqual(14);
      expect(slopePct).toBeLessThanOrEqual(5);
    }
  });

  test('slope that is not known does not', () => {
    const { output, findings } = siteStation(garden({ features: [outletInWall], height: () => Number.NaN }), rules);
    expect(findings).toEqual([]);
    expect(output.candidates[0]).not.toHaveProperty('slopePct');
  });

  test('any zone but the largest', () => {
    const zones = [polygonOf(rectangle(0.3, 0.3, 12, 19.7)), polygonOf(rectangle(14, 0.3, 29.7, 19.7))];
    const { output } = siteStation(garden({ features: [feature('outlet', at(20, 20))], zones }), rules);
    expect(output.stations[0].at.x).toBeLessThan(12.001);
    const elsewhere = output.candidates.filter(({ at: { x } }) => x > 12.001);
    expect(elsewhere.length).toBeGreaterThan(0);
    for (const { reasons } of elsewhere) expect(reasons[0]).toContain('not in the zone');
    const lastAtHome = output.candidates.findLastIndex(({ at: { x } }) => x <= 12.001);
    expect(lastAtHome).toBeLessThan(output.candidates.indexOf(elsewhere[0]));
  });

  test('the road: with everything else equal it stands on the far side', () => {
    const road = feature('road', { type: 'line', lines: [ring([-10, -3], [40, -3])] }, { widthM: 4 });
    const { output } = siteStation(garden({ features: [road] }), rules);
    expect(output.stations[0].at.y).toBeGreaterThan(14);
  });
});

describe('the hard rules, each with its margin', () => {
  const broken = (features: readonly PlaneFeature[], more: Partial<SiteStationInput> = {}, own: Partial<Rules> = {}) =>
    siteStation(
      { ...garden({ features: [...features, feature('station', at(15, 19.7))] }), ...more },
      { ...rules, ...own },
    )
      .findings.map(({ code, value, limit }) => ({ code, value, limit }))
      .filter(({ code }) => code.startsWith('site-station.fixed'));

  test('keep it away from a drop and from water', () => {
    const edges = (beyond: 'drop' | 'wall') => [{ outer: edgeRing(rectangle(0, 0, 30, 20), beyond), holes: [] }];
    const [hazard] = broken([], { edges: edges('drop') });
    expect(hazard).toMatchObject({ code: 'site-station.fixed-hazard', limit: 2 });
    expect(hazard.value).toBeCloseTo(0.3, 9);
    expect(broken([], { edges: edges('wall') })).toEqual([]);
    expect(broken([], { edges: edges('drop') }, { stationHazardClearM: 0.3 })).toEqual([]);
  });

  test('keep it off ground where nothing may be laid, with all of its pad', () => {
    const { lawn } = garden({});
    const noWire = (x: number) => ({ lawn: { ...lawn, noWire: [polygonOf(rectangle(x, 18, x + 1, 20))] } });
    // The wire runs west: two metres before the station lie east of it.
    expect(broken([], noWire(16.5))).toMatchObject([{ code: 'site-station.fixed-no-wire' }]);
    expect(broken([], noWire(17.5))).toEqual([]);
    expect(broken([], noWire(13.5))).toMatchObject([{ code: 'site-station.fixed-no-wire' }]);
  });

  test('ask for clear ground in front of it', () => {
    const { loops } = garden({});
    const withLoop = (top: number) => {
      const island = joinInput({
        ground: [polygonOf(rectangle(0, 0, 30, 20))],
        boundaries: [rectangle(0.3, 0.3, 29.7, 19.7)],
        keepOutLoops: [rectangle(14, 10, 18, top)],
      }).loops.loops[1];
      return { loops: { ...loops, loops: [...loops.loops, island] } };
    };
    const [front] = broken([], withLoop(18.5));
    expect(front).toMatchObject({ code: 'site-station.fixed-clear-front', limit: 2 });
    expect(front.value).toBeCloseTo(1.2, 9);
    expect(broken([], withLoop(17.6))).toEqual([]);
  });

  test('count the voltage lost on the supply cable by the conductor table', () => {
    const outlet = feature('outlet', at(15, 29.7));
    // 10 m there and back at 0.0225 ohm mm2/m in 0.75 mm2, 3 A of 28 V: 1.8 V.
    const [voltage] = broken([outlet], {}, { supplyMm2: 0.75 });
    expect(voltage).toMatchObject({ code: 'site-station.fixed-voltage', limit: 5 });
    expect(voltage.value).toBeCloseTo((100 * 1.8) / 28, 9);
    expect(broken([outlet])).toEqual([]);
  });

  test('and every candidate shows what it has of each', () => {
    const { candidates } = siteStation(garden({ features: [house, outletInWall] }), rules).output;
    for (const { margins } of candidates) {
      expect(margins.map(({ rule }) => rule)).toEqual([
        'straight-before',
        'straight-behind',
        'corner',
        'cable',
        'voltage',
        'clear-front',
      ]);
      for (const { rule, value, limit } of margins)
        expect(rule === 'cable' || rule === 'voltage' ? limit - value : value - limit).toBeGreaterThanOrEqual(0);
    }
  });
});

describe('the soft rules', () => {
  const best = (features: readonly PlaneFeature[], height?: (x: number, y: number) => number) =>
    siteStation(garden({ features, ...(height && { height }) }), rules).output.candidates[0];
  const tall = { ...house, heightM: 8 };

  test('rank by the sum of what each costs, shown in metres of cable', () => {
    const { candidates } = siteStation(garden({ features: [house, outletInWall] }), rules).output;
    for (const { comforts, discomfortM } of candidates)
      expect(discomfortM).toBeCloseTo(
        comforts.reduce((sum, { costM }) => sum + costM, 0),
        9,
      );
    // Sums that rounding alone could tell apart (0.01 mm) are alike: then the place decides.
    for (let i = 1; i < candidates.length; i++)
      expect(candidates[i].discomfortM).toBeGreaterThan(candidates[i - 1].discomfortM - 1e-5);
  });

  test('prefer the shade of a house of known height', () => {
    const shadeOf = ({ comforts }: ReturnType<typeof best>) => comforts.find(({ of }) => of === 'shade')?.value ?? 0;
    expect(best([house]).comforts.map(({ of }) => of)).not.toContain('shade');
    // The house stands in the north of the lawn; one as tall in the south shades it more.
    expect(shadeOf(best([feature('building', area(rectangle(5, -8, 25, 0)), { heightM: 8 }), tall]))).toBeGreaterThan(
      40,
    );
  });

  test('prefer a place behind a wall to one in sight of the road', () => {
    const road = feature('road', { type: 'line', lines: [ring([-20, -12], [50, -12])] });
    const wall = (fromX: number, toX: number) =>
      feature('edge', { type: 'line', lines: [ring([fromX, -1], [toX, -1])] }, { beyond: 'wall', heightM: 2 });
    const { reasons } = best([road, wall(-40, 70)]);
    expect(reasons.join()).toContain('hidden: not seen from a road within 40 m');
    expect(best([road]).reasons.join()).toMatch(/seen from \d+ % of the road/);
  });

  test('keep away from the wall of a bedroom and from the neighbours', () => {
    const bedroom = feature(
      'edge',
      { type: 'line', lines: [ring([10, 20], [20, 20])] },
      { beyond: 'wall', bedroom: true },
    );
    const far = siteStation(garden({ features: [house, bedroom] }), rules).output.stations[0].at;
    expect(Math.max(10 - far.x, far.x - 20, 20 - far.y)).toBeGreaterThan(5);
    const parcel = feature('parcel', area(rectangle(-8, -1, 38, 30)));
    expect(siteStation(garden({ features: [parcel] }), rules).output.stations[0].at.y).toBeGreaterThan(2);
  });

  test('prefer the middle of the zones', () => {
    const [first, ...others] = siteStation(garden({}), rules).output.candidates;
    const homeM = ({ comforts }: typeof first) => comforts.find(({ of }) => of === 'central')?.value ?? 0;
    for (const other of others) expect(homeM(first)).toBeLessThan(homeM(other) + 1e-4);
  });

  test('keep out of a hollow where there is another place, and say so where there is none', () => {
    const bowl = (x: number, y: number) => 0.004 * ((x - 15) ** 2 + (y - 19.7) ** 2);
    expect(best([house, outletInWall], bowl).comforts.map(({ of }) => of)).not.toContain('hollow');
    const input = garden({ features: [feature('station', at(15, 19.7))], height: bowl });
    const { findings } = siteStation(input, rules);
    const hollow = findings.find(({ code }) => code === 'site-station.hollow');
    // Three metres away a bowl of 4 mm a square metre has risen by 36 mm.
    expect(hollow?.value).toBeCloseTo(0.036, 9);
  });
});

describe('the supply cable', () => {
  test('goes round the house, as long as the string round its corners', () => {
    const long = feature('building', area(rectangle(1, 20, 29, 28)));
    const behind = feature('outlet', at(15, 29));
    const { output } = siteStation(garden({ features: [long, behind] }), { ...rules, supplyCableMaxM: 40 });
    const cable = output.supplyCable ?? new Float64Array();
    const [endX, endY] = cable.slice(-2);
    const cornerX = endX > 15 ? 29 : 1;
    expect(Array.from(cable)).toEqual([15, 29, cornerX, 28, cornerX, 20, endX, endY]);
    // 14 m along and 1 m down to the corner, 8 m along the gable, and straight on.
    const byHandM = Math.sqrt(14 * 14 + 1) + 8 + distanceM(cornerX, 20, endX, endY);
    expect(output.candidates[0].cableM).toBeCloseTo(byHandM, 12);
  });

  test('begins at the face of the wall when the outlet is drawn inside it', () => {
    const inside = feature('outlet', at(15.1, 20.2));
    const { output } = siteStation(garden({ features: [house, inside] }), rules);
    expect(Array.from(output.supplyCable?.slice(0, 4) ?? [])).toEqual([15.1, 20.2, 15.1, 20]);
    expect(output.candidates[0].cableM).toBeCloseTo(lineLengthM(output.supplyCable ?? new Float64Array()), 12);
  });

  test('without an outlet there is none, and a note says so', () => {
    const { output, findings } = siteStation(garden({}), rules);
    expect(output).not.toHaveProperty('supplyCable');
    expect(output.candidates[0]).not.toHaveProperty('cableM');
    expect(findings).toMatchObject([{ code: 'site-station.no-outlet', severity: 'note' }]);
  });
});

describe('a garden without a good place', () => {
  test('on a small round lawn the straight wire is missing: a caution says by how much, and the least bad place is used', () => {
    const { output, findings } = siteStation(garden({ boundaries: [ellipse(10, 10, 4, 4, 0, 96)] }), rules);
    expect(output.stations).toHaveLength(1);
    const [finding] = findings;
    expect(finding).toMatchObject({ code: 'site-station.no-place', severity: 'caution', limit: 2, unit: 'm' });
    expect(finding.value).toBeGreaterThan(0);
    expect(finding.value).toBeLessThan(2);
    expect(output.candidates[0].reasons[0]).toContain('straight wire');
  });

  test('an outlet too far from every place names the cable', () => {
    const { findings } = siteStation(garden({ features: [feature('outlet', at(15, 40))] }), rules);
    const [finding] = findings;
    expect(finding).toMatchObject({ code: 'site-station.no-place', limit: 15, unit: 'm' });
    expect(finding.value).toBeCloseTo(20.3, 0);
  });

  test('no boundary wire, no station', () => {
    expect(siteStation(garden({ boundaries: [] }), rules)).toEqual({
      output: { stations: [], candidates: [] },
      findings: [],
    });
  });
});

describe('a station set by the user', () => {
  test('is moved to the nearest place of the wire', () => {
    const { output, findings } = siteStation(
      garden({ features: [outletInWall, feature('station', at(10, 19.2))] }),
      rules,
    );
    expect(output.stations[0]).toMatchObject({ fixedByUser: true, headingDeg: 270 });
    expect(output.stations[0].at.x).toBeCloseTo(10, 12);
    expect(output.stations[0].at.y).toBe(19.7);
    expect(findings).toEqual([]);
  });

  test('is told of when it was drawn far from the wire', () => {
    const { findings } = siteStation(garden({ features: [outletInWall, feature('station', at(10, 29.7))] }), rules);
    expect(findings).toEqual([
      expect.objectContaining({
        code: 'site-station.fixed-moved',
        value: 10,
        unit: 'm',
        at: { x: expect.closeTo(10, 9), y: 19.7 },
      }),
    ]);
  });

  test('of two the one nearer to the wire is used, in any order, and the other is told of', () => {
    const [near, far] = [feature('station', at(10, 19.2)), feature('station', at(6, 12))];
    for (const stations of [
      [near, far],
      [far, near],
    ]) {
      const { output, findings } = siteStation(garden({ features: [outletInWall, ...stations] }), rules);
      expect(output.stations[0].at.x).toBeCloseTo(10, 12);
      expect(findings).toMatchObject([{ code: 'site-station.fixed-twice', value: 2, limit: 1, at: { x: 6, y: 12 } }]);
    }
  });

  test('is checked by the same rules, one finding for each broken one', () => {
    const sprinkler = feature('sprinkler', at(0, 3), { radiusM: 4 });
    const { output, findings } = siteStation(garden({ features: [sprinkler, feature('station', at(1, 0))] }), rules);
    expect(output.stations[0].at.x).toBeCloseTo(1, 12);
    expect(output.stations[0].at.y).toBe(0.3);
    expect(findings.map(({ code }) => code)).toEqual([
      'site-station.fixed-straight-before',
      'site-station.fixed-corner',
      'site-station.fixed-sprinkler',
      'site-station.no-outlet',
    ]);
    const [before] = findings;
    expect(before).toMatchObject({ severity: 'caution', limit: 2, unit: 'm', subject: 'station-1' });
    expect(before.value).toBeCloseTo(0.72, 9);
  });

  test('makes its own zone the one the candidates stand in', () => {
    const zones = [polygonOf(rectangle(0.3, 0.3, 12, 19.7)), polygonOf(rectangle(14, 0.3, 29.7, 19.7))];
    const { output, findings } = siteStation(garden({ features: [feature('station', at(20, 20))], zones }), rules);
    expect(findings.map(({ code }) => code)).toEqual(['site-station.no-outlet']);
    expect(output.candidates[0].at.x).toBeGreaterThan(13.9);
  });
});

describe('ground in several parts', () => {
  const apart = garden({
    boundaries: [rectangle(0.3, 0.3, 19.7, 19.7), rectangle(25, 0.3, 29.7, 8)],
    features: [outletInWall],
    apart: true,
  });

  test('each other part gets a signal unit only, on straight wire, nearest to the outlet', () => {
    const { stations } = siteStation(apart, rules).output;
    expect(stations.map(({ role, part, loopId }) => [role, part, loopId])).toEqual([
      ['charging', 0, 'boundary-1'],
      ['signal-only', 1, 'boundary-2'],
    ]);
    // On its upper side, 1 m of straight wire behind it: the end that is nearest to (15, 20).
    expect(stations[1].at.y).toBe(8);
    expect(stations[1].at.x).toBeGreaterThanOrEqual(26 - 0.02);
    expect(stations[1].at.x).toBeLessThan(27);
  });
});

describe('on any garden', () => {
  const gardens = fc
    .record({
      width: fc.integer({ min: 4, max: 40 }),
      height: fc.integer({ min: 4, max: 40 }),
      outlet: fc.option(fc.tuple(fc.integer({ min: -10, max: 50 }), fc.integer({ min: -10, max: 50 }))),
      sprinkler: fc.option(fc.tuple(fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 40 }))),
      round: fc.boolean(),
    })
    .map(({ width, height, outlet, sprinkler, round }) =>
      garden({
        boundaries: [
          round ? ellipse(20, 20, width / 2, height / 2, 0, 64) : rectangle(0.3, 0.3, width - 0.3, height - 0.3),
        ],
        features: [
          ...(outlet ? [feature('outlet', at(...outlet))] : []),
          ...(sprinkler ? [feature('sprinkler', at(...sprinkler), { radiusM: 3 })] : []),
        ],
      }),
    );

  test('one charging station stands on the wire, the same twice, and nothing given is changed', () => {
    fc.assert(
      fc.property(gardens, (input) => {
        const before = structuredClone(input);
        const first = siteStation(input, rules);
        expect(siteStation(input, rules)).toEqual(first);
        expect(input).toEqual(before);
        expectOnWire(input, first.output, rules);
      }),
      { numRuns: 60, seed: 4501 },
    );
  });
});

function edgeRing(outline: Ring, beyond: 'drop' | 'wall'): EdgeRing {
  const count = outline.length / 2;
  const told = Array.from({ length: count }, () => beyond);
  return {
    ring: outline,
    beyond: told,
    from: told.map(() => '/features/9'),
    offsetsM: new Float64Array(count).fill(0.35),
  };
}

function expectOnWire(
  { loops }: SiteStationInput,
  { stations, candidates }: SitedStations,
  { supplyCableMaxM }: Rules,
): void {
  expect(stations).toHaveLength(1);
  const [{ ring: wire }] = loops.loops;
  for (const { at: place, alongM } of [...stations, ...candidates]) {
    let awayM = Number.POSITIVE_INFINITY;
    for (let i = 0; i < wire.length; i += 2) {
      const j = (i + 2) % wire.length;
      awayM = Math.min(awayM, pointSegmentM(place.x, place.y, wire[i], wire[i + 1], wire[j], wire[j + 1]));
    }
    expect(awayM).toBeLessThan(1e-9);
    expect(alongM).toBeLessThan(ringLengthM(wire));
  }
  const clean = candidates.filter(({ reasons }) => !reasons.some((reason) => reason.includes('supply cable, over')));
  for (const { cableM = 0 } of clean) expect(cableM).toBeLessThanOrEqual(supplyCableMaxM);
}
