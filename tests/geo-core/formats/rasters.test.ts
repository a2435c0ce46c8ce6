import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parseSite } from '#api/contract/parse-site.ts';
import { fieldOfWiresNt } from '#geo-core/field/biot-savart.ts';
import { NO_DATA } from '#geo-core/formats/geo-tiff.ts';
import { planPlane } from '#geo-core/formats/plan-plane.ts';
import { RASTERS } from '#geo-core/formats/rasters.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { crsByEpsg, utmByPlace } from '#geo-core/projection/crs-registry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { readElevation } from '#geo-core/terrain/read-elevation.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { rasterByGdal } from '../../support/rasters-by-gdal.ts';
import { hasGdal } from '../../support/read-by-gdal.ts';

useKernel();
const [slope, field] = RASTERS;
const fixture = (name: string) => new URL(`../../../fixtures/${name}`, import.meta.url);

function crsOf(epsg: number) {
  const crs = crsByEpsg(epsg);
  if (crs === undefined) throw new Error(`EPSG:${epsg} is not in the registry`);
  return crsConverter(crs);
}

/** The vertical field of the plan's wires at a place, summed here anew. */
function fieldNt(plan: Plan, lonDeg: number, latDeg: number): number {
  const { toPlane } = localPlaneProjection(planPlane(plan));
  const lines = plan.features
    .filter(({ properties }) => properties.kind === 'route')
    .map(({ geometry }) => {
      const places = positionsOf(geometry).map((place) => toPlane(...place));
      return Float64Array.from(places.flatMap(({ x, y }) => [x, y]));
    });
  const { x, y } = toPlane(lonDeg, latDeg);
  return fieldOfWiresNt(lines, x, y, plan.rules.sensorHeightM);
}

describe('the field as GeoTIFF', () => {
  const plan = goldenPlan();

  it.skipIf(!hasGdal)('is read by GDAL (where it is installed) in its system, each cell with our value', () => {
    for (const [epsg, asked] of [
      [32632, undefined],
      [25832, 25832],
      [3035, 3035],
      [32632, 4326],
    ] as const) {
      const crs = asked === undefined ? undefined : crsByEpsg(asked);
      const read = rasterByGdal(field.write(plan, { crs }) ?? new Uint8Array());
      expect(read).toMatchObject({ epsg, type: 'Float32', noData: NO_DATA, unit: 'nT' });
      expect(read.cells.length).toBeGreaterThan(5000);
      const { toLonLat } = crsOf(epsg);
      for (const { x, y, value } of read.cells.filter((_, i) => i % 97 === 0)) {
        const [lonDeg, latDeg] = toLonLat(x, y);
        // Single precision in the file.
        expect(Math.abs(value / fieldNt(plan, lonDeg, latDeg) - 1)).toBeLessThan(1e-5);
      }
    }
  });

  it.skipIf(!hasGdal)('covers the working area and no more', () => {
    const read = rasterByGdal(field.write(plan, {}) ?? new Uint8Array());
    const [{ x: first }, { x: second }] = read.cells;
    const areaM2 = read.cells.length * (second - first) ** 2;
    // Cells at the edge are in or out by their centres: half a cell along the outline at most.
    expect(Math.abs(areaM2 - plan.summary.workingAreaM2)).toBeLessThan(0.05 * 0.5 * plan.summary.routeLengthM);
  });

  it('is not there where nothing was laid', () => {
    expect(field.write({ ...plan, features: [] }, {})).toBeUndefined();
  });
});

describe('the slope as GeoTIFF', () => {
  it.skipIf(!hasGdal)('lies cell on cell with the ground heights, with the slopes of the survey', async () => {
    const heights = readFileSync(fixture('sites/real/delft-ground.tif'));
    const elevation = await readElevation(heights, { fileName: 'delft-ground.tif' });
    const parsed = parseSite(JSON.parse(readFileSync(fixture('sites/real/delft-round-lawn.geojson'), 'utf8')));
    if ('problems' in parsed) throw new Error(JSON.stringify(parsed.problems));
    const traced = new Map<string, unknown>();
    const plan = planSite({ ...parsed.site, elevation }, parsed.rules, (id, output) => traced.set(id, output));
    const survey = traced.get('20-survey-slope') as SlopeSurvey;
    const { plane } = traced.get('10-project-site') as PlaneSite;
    const { toPlane } = localPlaneProjection(plane);
    const read = rasterByGdal(slope.write(plan, { elevation }) ?? new Uint8Array());
    expect(read).toMatchObject({ epsg: elevation.epsg, type: 'Float32', noData: NO_DATA, unit: '%' });
    const { toLonLat } = crsOf(elevation.epsg);
    let compared = 0;
    for (const { x, y, value } of read.cells) {
      expect(((x - elevation.firstCentreX) / elevation.cellX) % 1).toBeCloseTo(0, 6);
      const [lonDeg, latDeg] = toLonLat(x, y);
      const at = toPlane(lonDeg, latDeg);
      const ours = survey.slopeAtPct(at.x, at.y);
      if (Number.isNaN(ours)) continue;
      // Both are planes through the same heights; the middle of the block, where a cell's axes are taken, differs by metres.
      expect(Math.abs(value - ours)).toBeLessThan(1e-5 * ours + 1e-5);
      compared++;
    }
    expect(compared).toBeGreaterThan(1000);
    expect(Math.max(...read.cells.map(({ value }) => value))).toBeGreaterThanOrEqual(
      (plan.summary.maxSlopePct ?? 0) - 0.01,
    );
  });

  it('is not there without ground heights', () => {
    expect(slope.write(goldenPlan(), {})).toBeUndefined();
  });
});

it('a place is in its UTM zone (zone 32 from 6 to 12 east, zone 19 south of 72 to 66 west)', () => {
  expect(utmByPlace(8, 50).epsg).toBe(32632);
  expect(utmByPlace(-70.6, -33.4).epsg).toBe(32719);
  expect(utmByPlace(180, 10).epsg).toBe(32660);
  expect(utmByPlace(-180, 10).epsg).toBe(32601);
});
