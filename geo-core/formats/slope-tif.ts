import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { gridMap } from '#geo-core/terrain/grid-map.ts';
import { slopeBlock } from '#geo-core/terrain/slope-block.ts';
import { slopeField, slopePctOf } from '#geo-core/terrain/slope-field.ts';
import { geoTiff } from './geo-tiff.ts';
import { planPlane } from './plan-plane.ts';
import type { RasterFormat } from './raster-format.ts';

/** The slope that the machine feels, percent, cell on cell with the ground heights that it was measured in, in their system. */
export const slopeTif: RasterFormat = {
  id: 'slope-tif',
  mediaType: 'image/tiff; application=geotiff',
  extension: 'slope.tif',
  title: 'GeoTIFF: slope of the ground',
  needs:
    'There is no slope: no ground heights came with the site, or none of them lie under it. Send them as `elevation` (GeoTIFF, ESRI ASCII grid or CoverageJSON).',
  write(plan, { elevation: grid }) {
    const crs = grid === undefined ? undefined : crsByEpsg(grid.epsg);
    if (grid === undefined || crs === undefined || plan.bbox === undefined) return undefined;
    const plane = planPlane(plan);
    const { toPlane } = localPlaneProjection(plane);
    const [west, south, east, north] = plan.bbox;
    const corners = [west, east].flatMap((lonDeg) => [south, north].map((latDeg) => toPlane(lonDeg, latDeg)));
    const box = {
      minX: Math.min(...corners.map(({ x }) => x)),
      minY: Math.min(...corners.map(({ y }) => y)),
      maxX: Math.max(...corners.map(({ x }) => x)),
      maxY: Math.max(...corners.map(({ y }) => y)),
    };
    const map = gridMap(grid, crs, plane, box);
    const block = slopeBlock(box, grid, map);
    if (block === undefined) return undefined;
    const { columns, rows, fromColumn, fromRow } = block;
    const { riseX, riseY } = slopeField(grid, map, block, plan.rules.wheelBaseM);
    return geoTiff({
      epsg: grid.epsg,
      columns,
      rows,
      westX: grid.firstCentreX + (fromColumn - 0.5) * grid.cellX,
      northY: grid.firstCentreY - (fromRow - 0.5) * grid.cellY,
      cellX: grid.cellX,
      cellY: grid.cellY,
      values: riseX.map((x, cell) => slopePctOf({ x, y: riseY[cell] })),
      description: 'slope of the ground over a wheelbase',
      unit: '%',
    });
  },
};
