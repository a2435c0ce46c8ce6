import { fieldOfWiresNt } from '#geo-core/field/biot-savart.ts';
import type { Plan, PlanFeature, Position } from '#geo-core/model/plan.ts';
import { polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { boxOf } from '#geo-core/plane/polygons.ts';
import { rasterise } from '#geo-core/plane/rasterise.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { type Crs, utmByPlace } from '#geo-core/projection/crs-registry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { geoTiff } from './geo-tiff.ts';
import { planPlane } from './plan-plane.ts';
import type { RasterFormat } from './raster-format.ts';

/** As many as the planner's own map of the field. */
const CELLS_MAX = 40_000;
const LEAST_CELL_M = 0.1;

/**
 * The vertical field of all wires of a plan, nT at 1 A at the height of the sensor, over its working area: cells of at least 0.1 m in the
 * metres of the system asked for, else of the UTM zone.
 */
export const fieldTif: RasterFormat = {
  id: 'field-tif',
  mediaType: 'image/tiff; application=geotiff',
  extension: 'field.tif',
  title: 'GeoTIFF: field of the wire',
  needs: 'There is no field: nothing was laid. See the findings of the plan.',
  write(plan, { crs }) {
    const lines = wiresOf(plan);
    const ground = plan.features.filter(({ properties }) => properties.kind === 'working-area');
    if (lines.length === 0 || ground.length === 0) return undefined;
    const { originLonDeg, originLatDeg } = planPlane(plan);
    const system = crs?.unit === 'metre' ? crs : utmByPlace(originLonDeg, originLatDeg);
    return rasterOf(plan, lines, ground, system);
  },
};

function wiresOf(plan: Plan): Polyline[] {
  const { toPlane } = localPlaneProjection(planPlane(plan));
  return plan.features
    .filter(({ properties }) => properties.kind === 'route')
    .map(({ geometry }) => placed(positionsOf(geometry), toPlane));
}

function placed(
  positions: readonly Position[],
  to: (lonDeg: number, latDeg: number) => { readonly x: number; readonly y: number },
): Float64Array {
  return Float64Array.from(
    positions.flatMap(([lonDeg, latDeg]) => {
      const { x, y } = to(lonDeg, latDeg);
      return [x, y];
    }),
  );
}

function rasterOf(plan: Plan, lines: readonly Polyline[], ground: readonly PlanFeature[], crs: Crs): Uint8Array {
  const { fromLonLat, toLonLat } = crsConverter(crs);
  const { toPlane } = localPlaneProjection(planPlane(plan));
  const ringOf = (positions: readonly Position[]): Float64Array => placed(positions.slice(1), fromLonLat);
  const areas: Polygon[] = ground.flatMap(({ geometry }) =>
    polygonsOf(geometry).map(([outer, ...holes]) => ({ outer: ringOf(outer), holes: holes.map(ringOf) })),
  );
  const boxes = areas.map(({ outer }) => boxOf(outer));
  const [west, south, east, north] = [0, 1, 2, 3].map((k) =>
    boxes.reduce((far, box) => (k < 2 ? Math.min(far, box[k]) : Math.max(far, box[k])), boxes[0][k]),
  );
  const cellM = Math.max(LEAST_CELL_M, Math.sqrt(((east - west) * (north - south)) / CELLS_MAX));
  const columns = Math.max(1, Math.ceil((east - west) / cellM));
  const rows = Math.max(1, Math.ceil((north - south) / cellM));
  const isGround = rasterise(areas, { westM: west, southM: south, cellM, columns, rows });
  const values = new Float32Array(columns * rows).fill(Number.NaN);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      if (isGround[row * columns + column] === 0) continue;
      const [lonDeg, latDeg] = toLonLat(west + (column + 0.5) * cellM, south + (row + 0.5) * cellM);
      const { x, y } = toPlane(lonDeg, latDeg);
      values[(rows - 1 - row) * columns + column] = fieldOfWiresNt(lines, x, y, plan.rules.sensorHeightM);
    }
  }
  return geoTiff({
    epsg: crs.epsg,
    columns,
    rows,
    westX: west,
    northY: south + rows * cellM,
    cellX: cellM,
    cellY: cellM,
    values,
    description: 'vertical field of the wire for each ampere, at the height of the sensor',
    unit: 'nT',
  });
}
