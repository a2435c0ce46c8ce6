/* Long because every way in which a grid can fail a rule is a ground of its own, written as a formula. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { DerivedLawn } from '#geo-core/model/plane-plan.ts';
import type { LocalPlane, Polygon } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { polygonAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon, polygonsFromRings } from '#geo-core/plane/polygons.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { surveySlope } from '#geo-core/stages/20-survey-slope.ts';
import { readGeoTiff } from '#geo-core/terrain/read-geotiff.ts';
import reference from '../../../fixtures/reference/geodesy.json' with { type: 'json' };
import { useKernel } from '../../support/load-kernel.ts';
import { seededNormal } from '../../support/seeded-normal.ts';

useKernel();

const RULES: Rules = RULE_SETS[0];
const FIELD: LocalPlane = { originLonDeg: 9.2, originLatDeg: 48.8 };

function rectangle(x: number, y: number, width: number, height: number): Polygon {
  return { outer: Float64Array.of(x, y, x + width, y, x + width, y + height, x, y + height), holes: [] };
}

/** A square lawn of 20 m by 20 m round the origin. */
const SQUARE = rectangle(-10, -10, 20, 20);

type GridShape = {
  readonly epsg?: number;
  readonly cell?: number;
  readonly halfM?: number;
  readonly plane?: LocalPlane;
  /** Shift of the grid, in its own units. */
  readonly shift?: readonly [number, number];
};

/** A grid round the origin of the plane whose heights are a function of the LOCAL plane's metres. */
function gridOf(heightAt: (x: number, y: number) => number, shape: GridShape = {}): ElevationGrid {
  const { epsg = 25_832, halfM = 30, plane = FIELD, shift = [0, 0] } = shape;
  const crs = crsByEpsg(epsg);
  if (crs === undefined) throw new Error(`EPSG:${epsg} is not in the registry`);
  const cell = shape.cell ?? (crs.unit === 'degree' ? 0.5 / 111_000 : 0.5);
  const cellM = crs.unit === 'degree' ? cell * 111_000 : cell;
  const half = Math.ceil(halfM / cellM);
  const size = 2 * half + 1;
  const converter = crsConverter(crs);
  const projection = localPlaneProjection(plane);
  const middle = converter.fromLonLat(plane.originLonDeg, plane.originLatDeg);
  const heightsM = new Float32Array(size * size);
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const [lon, lat] = converter.toLonLat(middle.x + (column - half) * cell, middle.y + (half - row) * cell);
      const { x, y } = projection.toPlane(lon, lat);
      heightsM[row * size + column] = heightAt(x, y);
    }
  }
  return {
    epsg,
    columns: size,
    rows: size,
    firstCentreX: middle.x - half * cell + shift[0],
    firstCentreY: middle.y + half * cell + shift[1],
    cellX: cell,
    cellY: cell,
    heightsM,
    source: 'ground.tif',
  };
}

function survey(
  elevation: ElevationGrid | undefined,
  lawn: readonly Polygon[] = [SQUARE],
  rules: Partial<Rules> = {},
  plane: LocalPlane = FIELD,
) {
  const site: PlaneSite = {
    features: [],
    prices: {},
    quiet: [],
    units: 'metric',
    locale: 'en',
    plane,
    gridM: 1e-5,
    ...(elevation === undefined ? {} : { elevation }),
  };
  const derived: DerivedLawn = {
    lawn,
    ground: lawn,
    crossings: [],
    keepOuts: [],
    noWire: [],
    derived: false,
    areaM2: totalAreaM2(lawn),
  };
  return surveySlope({ site, lawn: derived }, { ...RULES, ...rules });
}

/** 20 % to the east and 10 % to the north. */
const tilted = (x: number, y: number): number => 50 + 0.2 * x + 0.1 * y;
const TILTED_PCT = 100 * Math.sqrt(0.05);

describe('a tilted plane', () => {
  it.each([
    ['UTM', { epsg: 25_832 }],
    ['degrees', { epsg: 4326 }],
    ['Mercator metres', { epsg: 3857 }],
    ['a plane far from its meridian, turned by several degrees', { epsg: 3035 }],
    ['cells of 0.1 m', { cell: 0.1, halfM: 14 }],
    ['cells of 4 m', { cell: 4 }],
  ])('has its slope and heights in a grid of %s', (_, shape) => {
    const { output, findings } = survey(gridOf(tilted, shape));
    expect(output?.maxSlopePct).toBeCloseTo(TILTED_PCT, 1);
    expect(output?.knownShare).toBe(1);
    expect(output?.steep).toEqual([]);
    expect(findings.filter(({ code }) => code !== 'survey-slope.grid-too-coarse')).toEqual([]);
    for (const [x, y] of [
      [0, 0],
      [9.3, -7.7],
      [-9.9, 9.9],
    ]) {
      expect(output?.slopeAtPct(x, y)).toBeCloseTo(TILTED_PCT, 1);
      expect(output?.riseAt(x, y).x).toBeCloseTo(0.2, 3);
      expect(output?.riseAt(x, y).y).toBeCloseTo(0.1, 3);
      expect(output?.heightAtM(x, y)).toBeCloseTo(tilted(x, y), 2);
    }
    expect(output?.slopeAtPct(500, 0)).toBeNaN();
    expect(output?.heightAtM(500, 0)).toBeNaN();
  });

  it.each(reference.lawn_at_nine_sites.rows)('has the same slope at $name, in degrees and in UTM', (row) => {
    const plane = { originLonDeg: row.lon, originLatDeg: row.lat };
    for (const epsg of [4326, row.utm_epsg]) {
      const { output, findings } = survey(gridOf(tilted, { epsg, plane }), [SQUARE], {}, plane);
      expect(output?.maxSlopePct).toBeCloseTo(TILTED_PCT, 1);
      expect(output?.knownShare).toBe(1);
      expect(findings).toEqual([]);
    }
  });

  it('is steep all over where the rules allow less', () => {
    const { output, findings } = survey(gridOf(tilted), [SQUARE], { slopeInsideMaxPct: 20 });
    expect(totalAreaM2(output?.steep ?? [])).toBeCloseTo(400, 0);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code: 'survey-slope.steep-ground', severity: 'caution', limit: 20, unit: '%' });
    expect(findings[0].value).toBeCloseTo(TILTED_PCT, 1);
    expect(findings[0].at).toBeDefined();
  });
});

/** Where an outline runs along x = side, within a metre. */
function sidesNear(ring: Float64Array, side: number): number[] {
  return Array.from(ring).filter((x, i) => i % 2 === 0 && Math.abs(x - side) < 1);
}

describe('a bank across the lawn', () => {
  // Level ground, then 4 m of 50 %, level again; the bank runs north-south from x = 2 to x = 6.
  const bank = (x: number): number => 10 + 0.5 * Math.min(Math.max(x - 2, 0), 4);

  it('is steep ground, clipped to the lawn, its outline a straight line at the limit', () => {
    const { output, findings } = survey(gridOf((x) => bank(x)));
    expect(output?.maxSlopePct).toBeCloseTo(50, 1);
    expect(output?.steep).toHaveLength(1);
    const [patch] = output?.steep ?? [];
    // Planes through three heights half a metre apart: over each brow the felt slope runs from 0 to 50 % within 1.5 m.
    expect(polygonAreaM2(patch)).toBeGreaterThan(20 * 3.4);
    expect(polygonAreaM2(patch)).toBeLessThan(20 * 4.1);
    const sides = [2, 6].map((side) => sidesNear(patch.outer, side));
    for (const xs of sides) {
      expect(xs.length).toBeGreaterThan(0);
      // No staircase, though the grid is turned against the bank: steps would jump by half a metre.
      expect(Math.max(...xs) - Math.min(...xs)).toBeLessThan(0.2);
    }
    expect(pointInPolygon(patch, 4, 0)).toBe(true);
    expect(pointInPolygon(patch, 0, 0)).toBe(false);
    for (let i = 0; i < patch.outer.length; i++) expect(Math.abs(patch.outer[i])).toBeLessThanOrEqual(10.00001);
    const steep = findings.find(({ code }) => code === 'survey-slope.steep-ground');
    expect(steep?.at?.x).toBeGreaterThan(2);
    expect(steep?.at?.x).toBeLessThan(6);
    expect(steep?.message).toMatch(/m² of the lawn in one place is steeper than 35 %; the steepest has 50\.0 %/);
  });

  it('is a note, not a caution, where the rules take it out of the working area', () => {
    const { findings } = survey(
      gridOf((x) => bank(x)),
      [SQUARE],
      { excludeSteep: true },
    );
    expect(findings).toMatchObject([{ code: 'survey-slope.steep-ground', severity: 'note' }]);
  });

  it('does not count where it lies outside the lawn or in a hole of it', () => {
    const west = survey(
      gridOf((x) => bank(x)),
      [rectangle(-10, -10, 11, 20)],
    );
    expect(west.output?.maxSlopePct).toBe(0);
    const mound = (x: number, y: number): number => Math.max(0, 3 - Math.sqrt((x - 3) ** 2 + y ** 2));
    const holed: Polygon = { ...SQUARE, holes: [Float64Array.of(-1, -4, -1, 4, 7, 4, 7, -4)] };
    expect(survey(gridOf(mound), [holed]).output?.maxSlopePct).toBe(0);
    expect(survey(gridOf(mound)).output?.maxSlopePct).toBeGreaterThan(90);
  });
});

describe('a spot smaller than a machine', () => {
  it('is a note of its own and no steep ground, but the largest slope all the same', () => {
    const kerb = gridOf((x, y) => (Math.abs(x - 3.2) < 0.3 && Math.abs(y - 3.2) < 0.3 ? 10.4 : 10));
    const { output, findings } = survey(kerb);
    expect(output?.maxSlopePct).toBeGreaterThan(10);
    const { output: strict, findings: said } = survey(kerb, [rectangle(3, 3, 0.6, 0.6)], { slopeInsideMaxPct: 1 });
    expect(strict?.steep).toEqual([]);
    expect(said.map(({ code, severity }) => [code, severity])).toContainEqual(['survey-slope.steep-spots', 'note']);
    expect(findings.every(({ code }) => code !== 'survey-slope.steep-ground')).toBe(true);
  });
});

describe('what a grid does not know', () => {
  it('is said where no grid came', () => {
    expect(survey(undefined)).toMatchObject({
      output: undefined,
      findings: [{ code: 'survey-slope.no-grid', severity: 'note' }],
    });
  });

  it('is no matter where there is no lawn', () => {
    expect(survey(gridOf(tilted), [])).toEqual({ output: undefined, findings: [] });
  });

  it('is said with the share of the lawn where the grid ends', () => {
    const { output, findings } = survey(gridOf(tilted), [rectangle(20.25, -10, 20, 20)]);
    // The grid reaches to 30.25 m: 20 of 40 columns; the last of them has no neighbour to take its slope from.
    expect(output?.knownShare).toBeCloseTo(19 / 40, 1);
    const partial = findings.find(({ code }) => code === 'survey-slope.grid-partial');
    expect(partial).toMatchObject({ severity: 'caution', unit: '%' });
    expect(partial?.value).toBeCloseTo(50, 0);
    expect(findings.find(({ code }) => code === 'survey-slope.unknown-ground')).toMatchObject({ severity: 'note' });
  });

  it('is said with the share of the lawn beside cells without a height', () => {
    const holed = gridOf((x, y) => (x > 0 && y > 0 ? Number.NaN : tilted(x, y)));
    const { output, findings } = survey(holed);
    expect(output?.knownShare).toBeGreaterThan(0.65);
    expect(output?.knownShare).toBeLessThan(0.75);
    expect(findings).toMatchObject([{ code: 'survey-slope.unknown-ground', severity: 'caution' }]);
    expect(output?.slopeAtPct(5, 5)).toBeNaN();
    expect(output?.heightAtM(5, 5)).toBeNaN();
  });

  it('leaves no survey where no slope of the lawn is known', () => {
    const hole = gridOf((x, y) => (Math.abs(x) < 11 && Math.abs(y) < 11 ? Number.NaN : 10));
    expect(survey(hole)).toMatchObject({
      output: undefined,
      findings: [{ code: 'survey-slope.unknown-ground', severity: 'caution', value: 100 }],
    });
  });
});

describe('a grid of another place', () => {
  it('is told by its distance', () => {
    const { output, findings } = survey(gridOf(tilted, { shift: [3000, 4000] }));
    expect(output).toBeUndefined();
    expect(findings).toMatchObject([{ code: 'survey-slope.grid-elsewhere', severity: 'caution', unit: 'm' }]);
    // From the lawn to the near corner of a grid of 60 m: 30 m less on either axis; UTM scale 0.9996.
    expect(findings[0].value).toBeCloseTo(Math.sqrt(2970 ** 2 + 3970 ** 2) / 0.9996, -1);
    expect(findings[0].message).toContain('5.0 km');
  });

  it.each([
    ['another continent', gridOf(tilted, { epsg: 32_760, plane: { originLonDeg: 178.4419, originLatDeg: -18.1416 } })],
    [
      'the other side of the earth',
      gridOf(tilted, { epsg: 2193, plane: { originLonDeg: 172.6, originLatDeg: -43.5 } }),
    ],
    ['nowhere, with metres that say they are degrees', { ...gridOf(tilted), epsg: 4326 }],
    [
      'the equator, with longitude and latitude that say they are metres',
      { ...gridOf(tilted, { epsg: 4326 }), epsg: 28_992 },
    ],
  ])('on %s is told and does no harm', (_, grid) => {
    expect(survey(grid)).toMatchObject({
      output: undefined,
      findings: [{ code: 'survey-slope.grid-elsewhere', severity: 'caution' }],
    });
  });

  it('in an unknown reference system is told', () => {
    expect(survey({ ...gridOf(tilted), epsg: 2927 })).toMatchObject({
      output: undefined,
      findings: [{ code: 'survey-slope.unknown-crs', severity: 'caution' }],
    });
  });
});

describe('a coarse grid', () => {
  it('is used, with a caution that says how coarse for the wheelbase', () => {
    const { output, findings } = survey(gridOf(tilted, { cell: 10, halfM: 60 }));
    expect(output?.maxSlopePct).toBeCloseTo(TILTED_PCT, 1);
    expect(findings).toMatchObject([
      { code: 'survey-slope.grid-too-coarse', severity: 'caution', limit: 1, unit: 'm' },
    ]);
    expect(findings[0].value).toBeCloseTo(10, 1);
  });

  it('is a note while a cell holds no whole terrace, and nothing up to two wheelbases', () => {
    const codes = (cell: number) =>
      survey(gridOf(tilted, { cell, halfM: 60 })).findings.map(({ code, severity }) => [code, severity]);
    expect(codes(2)).toEqual([['survey-slope.grid-too-coarse', 'note']]);
    expect(codes(1)).toEqual([]);
  });

  it('lends a lawn smaller than a cell the cells under its corners', () => {
    const { output } = survey(gridOf(tilted, { cell: 30, halfM: 90 }), [rectangle(3, 3, 4, 4)]);
    expect(output?.maxSlopePct).toBeCloseTo(TILTED_PCT, 1);
    expect(output?.knownShare).toBe(1);
  });
});

describe('a grid whose heights scatter', () => {
  const random = seededNormal(7);
  const rough = gridOf((x, y) => tilted(x, y) + 0.05 * random());

  it('says how sure a slope is, and which limits cannot be judged by it', () => {
    const { output, findings } = survey(rough);
    // Planes through 3 x 3 heights 0.5 m apart: 0.05 / (0.5 x sqrt 6) a rise, twice that in percent.
    expect(Math.abs((output?.uncertaintyPct ?? 0) / 8.165 - 1)).toBeLessThan(0.1);
    const noisy = findings.find(({ code }) => code === 'survey-slope.grid-too-noisy');
    expect(noisy).toMatchObject({ severity: 'note', limit: 7.5, unit: '%' });
    expect(noisy?.message).toContain('15 % along the wire, 5 % under the station');
  });

  it('errs by no more than it says: of the slopes on the lawn 95 % lie within the uncertainty, 68 % within half', () => {
    const { output } = survey(rough);
    const errors: number[] = [];
    for (let x = -9.75; x < 10; x += 0.5)
      for (let y = -9.75; y < 10; y += 0.5) errors.push(Math.abs((output?.riseAt(x, y).x ?? 0) - 0.2) * 100);
    const within = (limit: number) => errors.filter((error) => error <= limit).length / errors.length;
    const limit = output?.uncertaintyPct ?? 0;
    expect(Math.abs(within(limit) - 0.954)).toBeLessThan(0.03);
    expect(Math.abs(within(limit / 2) - 0.683)).toBeLessThan(0.06);
  });
});

describe('a longer wheelbase', () => {
  it('feels a ridge less, as the plane over it does', () => {
    const ridge = gridOf((x) => 10 - 0.4 * Math.abs(x), { cell: 0.1, halfM: 14 });
    const at = (wheelBaseM: number) => survey(ridge, [SQUARE], { wheelBaseM }).output?.slopeAtPct(0.3, 0) ?? 0;
    expect(at(0.4)).toBeCloseTo(40, 0);
    // Seventeen heights from -0.5 to 1.1 m across the ridge: their regression line by hand.
    const steps = Array.from({ length: 17 }, (_, i) => i - 8);
    const rise = steps.reduce((sum, i) => sum + i * -0.4 * Math.abs(0.3 + 0.1 * i), 0) / (0.1 * 408);
    expect(at(1.6)).toBeCloseTo(100 * Math.abs(rise), 0);
  });
});

type LawnFile = { readonly features: readonly { readonly geometry: { readonly coordinates: [number, number][][] } }[] };

describe('real lidar ground', () => {
  it('under 59 lawns of Delft: steep ground lies on the lawn and reads over the limit at its heart', async () => {
    const folder = new URL('../../../fixtures/sites/real/', import.meta.url);
    const elevation = await readGeoTiff(readFileSync(new URL('delft-ground.tif', folder)), 'delft-ground.tif');
    const lawns = JSON.parse(readFileSync(new URL('lawns-delft.geojson', folder), 'utf8')) as LawnFile;
    let patches = 0;
    let surveyed = 0;
    for (const { geometry } of lawns.features) {
      const [originLonDeg, originLatDeg] = geometry.coordinates[0][0];
      const plane = { originLonDeg, originLatDeg };
      const projection = localPlaneProjection(plane);
      const toRing = (ring: [number, number][]) =>
        Float64Array.from(
          ring.slice(0, -1).flatMap(([lon, lat]) => {
            const { x, y } = projection.toPlane(lon, lat);
            return [x, y];
          }),
        );
      const polygons = polygonsFromRings(geometry.coordinates.map(toRing));
      const { output, findings } = survey(elevation, polygons, {}, plane);
      if (output === undefined) {
        expect(findings.length).toBeGreaterThan(0);
        continue;
      }
      surveyed++;
      patches += output.steep.length;
      expect(output.knownShare).toBeLessThanOrEqual(1);
      const steepest = findings.find(({ code }) => code === 'survey-slope.steep-ground');
      expect(steepest === undefined).toBe(output.steep.length === 0);
      if (steepest?.at === undefined) continue;
      const { x, y } = steepest.at;
      expect(output.slopeAtPct(x, y)).toBe(steepest.value);
      expect(polygons.some((polygon) => pointInPolygon(polygon, x, y))).toBe(true);
      expect(output.steep.some((polygon) => pointInPolygon(polygon, x, y))).toBe(true);
      expect(totalAreaM2(output.steep)).toBeLessThan(totalAreaM2(polygons));
    }
    expect(surveyed).toBeGreaterThan(50);
    expect(patches).toBeGreaterThan(10);
  });
});
