import { describe, expect, it } from 'vitest';
import type { DerivedLawn, LaidLoops } from '#geo-core/model/plane-plan.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { PlaneFeature, PlaneSite } from '#geo-core/model/site.ts';
import { polygonAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { splitZones } from '#geo-core/stages/40-split-zones.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { box, moved, polygonOf, twoRooms } from '../../support/shapes.ts';

useKernel();

// mowWidthM 2, driveWidthM 0.8
const RULES = RULE_SETS[0];
const lawn: DerivedLawn = { lawn: [], ground: [], crossings: [], keepOuts: [], noWire: [], derived: false, areaM2: 0 };

function siteWith(features: readonly PlaneFeature[]): PlaneSite {
  return {
    plane: { originLonDeg: 10.5, originLatDeg: 52.25 },
    gridM: 1e-5,
    features,
    prices: {},
    quiet: [],
    units: 'metric',
    locale: 'en',
  };
}
const stationAt = (x: number, y: number): PlaneFeature => ({
  kind: 'station',
  pointer: '/features/0',
  shape: { type: 'point', points: [{ x, y }] },
});

/** Working area of polygons, each of the ground part whose index is given (else all of part 0). */
function split(polygons: readonly Polygon[], features: readonly PlaneFeature[] = [], parts: readonly number[] = []) {
  const workingArea = polygons.map((polygon, i) => ({ ...polygon, part: parts[i] ?? 0 }));
  const loops: LaidLoops = { workingArea, loops: [], bays: [], bumped: [], steep: [] };
  return splitZones({ site: siteWith(features), lawn, loops }, RULES);
}
const shift = (polygon: Polygon, dx: number, dy = 0): Polygon => moved(polygon, 1, 0, dx, dy);

describe('40-split-zones', () => {
  it('no working area gives no zones and nothing to say', () => {
    expect(split([])).toEqual({ output: { zones: [], passages: [] }, findings: [] });
  });

  it('one wide room is one reachable zone with its widest circle', () => {
    const room = polygonOf(box(0, 0, 12, 9));
    const { output, findings } = split([room]);
    expect(output.zones).toHaveLength(1);
    const [zone] = output.zones;
    expect(zone).toMatchObject({ id: 'zone-1', areaM2: 108, area: 0, connectivity: 'reachable', polygons: [room] });
    expect(zone.widestRadiusM).toBeCloseTo(4.5, 9);
    expect(findings).toEqual([]);
  });

  it('a corridor that can be driven but not mown is a passage with its exact width, and a finding says by how much to widen it', () => {
    const { output, findings } = split([twoRooms(1.234, 4, 3)]);
    expect(output.zones.map(({ id, connectivity }) => [id, connectivity])).toEqual([
      ['zone-1', 'reachable'],
      ['zone-2', 'narrow-passage'],
    ]);
    expect(output.passages).toHaveLength(1);
    const [passage] = output.passages;
    expect(passage).toMatchObject({ id: 'passage-1', connects: ['zone-1', 'zone-2'] });
    expect(passage.widthM).toBeCloseTo(1.234, 9);
    // From full circle to full circle: half the mowing width, a micrometre to spare.
    expect(passage.lengthM).toBeCloseTo(4 + 2 * Math.sqrt((1 - 1e-6) ** 2 - 0.617 * 0.617), 9);
    expect(passage.centreLine[0]).toBeLessThan(passage.centreLine[passage.centreLine.length - 2]);
    expect(findings).toEqual([
      expect.objectContaining({
        code: 'split-zones.narrow-passage',
        severity: 'note',
        value: expect.closeTo(1.234, 9),
        limit: 2,
        unit: 'm',
        subject: 'passage-1',
        advice: expect.stringContaining('0.77 m'),
      }),
    ]);
  });

  it('a gap under the driving width isolates the smaller zone, and the finding says what is missing', () => {
    const { output, findings } = split([twoRooms(0.55, 1, 3)]);
    expect(output.passages).toEqual([]);
    expect(output.zones.map(({ connectivity }) => connectivity)).toEqual(['reachable', 'isolated']);
    expect(findings).toEqual([
      expect.objectContaining({
        code: 'split-zones.zone-isolated',
        value: expect.closeTo(0.55, 9),
        limit: 0.8,
        unit: 'm',
        subject: 'zone-2',
        advice: expect.stringContaining('0.25 m'),
      }),
    ]);
  });

  it('a zone behind an isolated one is isolated by the same gap', () => {
    // Rooms of 10 m joined by 0.6 m and, behind, by 1.2 m.
    const chain = polygonOf([
      [0, 0],
      [32, 0],
      [32, 10],
      [22, 10],
      [22, 1.2],
      [21, 1.2],
      [21, 9],
      [11, 9],
      [11, 0.6],
      [10, 0.6],
      [10, 11],
      [0, 11],
    ]);
    const { output, findings } = split([chain], [stationAt(0, 5)]);
    expect(output.zones.map(({ connectivity }) => connectivity)).toEqual(['reachable', 'isolated', 'isolated']);
    expect(output.passages.map(({ widthM }) => widthM)).toEqual([expect.closeTo(1.2, 9)]);
    const isolated = findings.filter(({ code }) => code === 'split-zones.zone-isolated');
    expect(isolated.map(({ value }) => value)).toEqual([expect.closeTo(0.6, 9), expect.closeTo(0.6, 9)]);
  });

  it('exactly the driving width is a passage, exactly the mowing width is one zone', () => {
    expect(split([twoRooms(0.8, 3, 3)]).output.passages).toHaveLength(1);
    expect(split([twoRooms(2, 3, 3)]).output.zones).toHaveLength(1);
  });

  it('another polygon is isolated, with its distance from the nearest ground the machine reaches', () => {
    const here = polygonOf(box(0, 0, 12, 9));
    const there = polygonOf(box(15.5, 0, 6, 6));
    const apart = split([here, there], [], [0, 1]);
    expect(apart.output.zones.map(({ connectivity, area }) => [connectivity, area])).toEqual([
      ['reachable', 0],
      ['isolated', 1],
    ]);
    expect(apart.findings).toEqual([
      expect.objectContaining({
        code: 'split-zones.zone-isolated',
        value: expect.closeTo(3.5, 9),
        message: expect.stringContaining('3.50 m from zone 1'),
        advice: expect.stringContaining('crossing'),
      }),
    ]);
    const cutOff = split([here, there], [], [0, 0]);
    expect(cutOff.findings[0].advice).toContain('Widen the ground');
  });

  it('the station set by the user decides which zone is reached, also where it stands on the wire of a small one', () => {
    const rooms = [polygonOf(box(0, 0, 12, 9)), polygonOf(box(15, 0, 6, 6))];
    const { output } = split(rooms, [stationAt(21.05, 3)], [0, 1]);
    expect(output.zones.map(({ id, connectivity }) => [id, connectivity])).toEqual([
      ['zone-1', 'isolated'],
      ['zone-2', 'reachable'],
    ]);
  });

  it('zones behind zones are reached over a chain of passages', () => {
    const chain = polygonOf([
      [0, 0],
      [30, 0],
      [30, 6],
      [20.5, 6],
      [20.5, 1.2],
      [19.5, 1.2],
      [19.5, 6],
      [10.5, 6],
      [10.5, 1.5],
      [9.5, 1.5],
      [9.5, 6],
      [0, 6],
    ]);
    const { output } = split([chain], [stationAt(0, 3)]);
    const at = (x: number) => output.zones.find(({ widestAt }) => Math.abs(widestAt.x - x) < 5);
    expect([at(5), at(15), at(25)].map((zone) => zone?.connectivity)).toEqual([
      'reachable',
      'narrow-passage',
      'narrow-passage',
    ]);
    expect(output.passages.map(({ widthM }) => widthM).toSorted()).toEqual([
      expect.closeTo(1.2, 9),
      expect.closeTo(1.5, 9),
    ]);
  });

  it('ground that can be driven but nowhere mown throughout is no zone but a finding with its widest place', () => {
    const { output, findings } = split([polygonOf(box(0, 0, 10, 1.4))]);
    expect(output).toEqual({ zones: [], passages: [] });
    expect(findings).toEqual([
      expect.objectContaining({
        code: 'split-zones.too-narrow',
        value: expect.closeTo(1.4, 9),
        limit: 2,
        unit: 'm',
        message: expect.stringContaining('can drive there'),
        advice: expect.stringContaining('0.60 m'),
      }),
    ]);
    expect(split([polygonOf(box(0, 0, 10, 0.5))]).findings[0].message).toContain('needs 0.80 m to drive');
  });

  it('zones are numbered by falling area whatever the order of the polygons', () => {
    const polygons = [polygonOf(box(0, 0, 5, 5)), polygonOf(box(40, 0, 9, 9)), shift(twoRooms(1, 2, 4), 0, 30)];
    const one = split(polygons, [], [0, 1, 2]).output;
    const other = split(polygons.toReversed(), [], [2, 1, 0]).output;
    expect(one.zones.map(({ areaM2 }) => areaM2)).toEqual(
      [100, 100, 81, 25].map((areaM2) => expect.closeTo(areaM2, 9)),
    );
    const figures = ({ zones, passages }: typeof one) => ({
      zones: zones.map(({ id, widestAt, connectivity, polygons: ground }) => ({ id, widestAt, connectivity, ground })),
      passages,
    });
    expect(figures(other)).toEqual(figures(one));
  });

  it('zones never take more than the working area and leave only corridors and tails', () => {
    const ground = polygonOf(
      [...box(0, 0, 20, 12).slice(0, 3), [12, 12], [12, 17], [10.8, 17], [10.8, 12], [0, 12]],
      box(9, 3, 2, 2),
    );
    const { output } = split([ground]);
    const zonesM2 = totalAreaM2(output.zones.flatMap(({ polygons }) => polygons));
    expect(polygonAreaM2(ground) - zonesM2).toBeCloseTo(1.2 * 5, 9);
  });

  it('leaves its input as it was and answers the same twice', () => {
    const ground = twoRooms(1.1, 2, 3);
    const before = structuredClone(ground);
    const first = split([ground]);
    expect(split([ground])).toEqual(first);
    expect(ground).toEqual(before);
  });
});
