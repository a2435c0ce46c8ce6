import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { DerivedLawn, SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { type CellRun, cellCount, cellPatches, widenedRuns } from '#geo-core/terrain/cell-runs.ts';
import { gridElsewhere, gridFindings, noGrid, unknownCrs } from '#geo-core/terrain/grid-findings.ts';
import { type GridMap, gridMap, type PlaneBox } from '#geo-core/terrain/grid-map.ts';
import { heightAtM } from '#geo-core/terrain/sample.ts';
import { cellSizeM, cellSlopePct } from '#geo-core/terrain/slope.ts';
import { groundOfCells } from '#geo-core/terrain/steep-ground.ts';
import { surveyCells } from '#geo-core/terrain/survey-cells.ts';

export type SurveySlopeInput = { readonly site: PlaneSite; readonly lawn: DerivedLawn };

/**
 * Slope is taken over about a metre, a little more than a machine stands on: cells of half a metre and more by their direct
 * neighbours, finer ones by neighbours half a metre away, since lidar noise of 5 cm alone makes 10 % over half a metre.
 * Common practice, no source.
 */
const SLOPE_REACH_M = 0.5;
/**
 * Steep cells that touch count as steep ground from this size, about the footprint of a machine in a turn; smaller spots are
 * kerbs, edges of beds or noise of the survey. Common practice, no source.
 */
const STEEP_PATCH_MIN_M2 = 1;

/**
 * Lawn and elevation grid -> slope of the ground (Horn's method), steep ground, height and slope at any point. A cell belongs to
 * the lawn where its centre does. Undefined where no grid was given or none of it helps.
 */
export function surveySlope({ site, lawn }: SurveySlopeInput, rules: Rules): Staged<SlopeSurvey | undefined> {
  if (lawn.lawn.length === 0) return { output: undefined, findings: [] };
  const grid = site.elevation;
  if (grid === undefined) return unknown(noGrid());
  const crs = crsByEpsg(grid.epsg);
  if (crs === undefined) return unknown(unknownCrs(grid));
  const box = boxOf(lawn.ground.length > 0 ? lawn.ground : lawn.lawn);
  const map = gridMap(grid, crs, site.plane, box);
  const middle = { x: (box.minX + box.maxX) / 2, y: (box.minY + box.maxY) / 2 };
  const middleInGrid = map.toGrid(middle.x, middle.y);
  const cell = cellSizeM(grid, middleInGrid.x, middleInGrid.y);
  // Far from its own ground a projection may stretch a lawn over millions of rows: look at the box before the cells.
  if (!(cell.xM > 0 && cell.yM > 0 && meets(box, grid, map))) {
    return unknown(gridElsewhere(grid, crs, site.plane, middleInGrid));
  }
  const reach = Math.max(1, Math.round(SLOPE_REACH_M / Math.max(cell.xM, cell.yM)));
  const slopeOfCellPct = (column: number, row: number): number => cellSlopePct(grid, column, row, cell, 'horn', reach);
  const survey = surveyCells(lawn.lawn, grid, map, slopeOfCellPct, rules.slopeInsideMaxPct);
  if (survey.outside === survey.total) return unknown(gridElsewhere(grid, crs, site.plane, middleInGrid));
  const findings = [...gridFindings(grid, cell, survey)];
  if (survey.known === 0) return { output: undefined, findings };
  const patches = cellPatches(survey.steepRuns);
  const isPatch = (runs: readonly CellRun[]): boolean => cellCount(runs) * cell.xM * cell.yM >= STEEP_PATCH_MIN_M2;
  const steepRuns = patches.filter(isPatch).flat();
  // Cells cut by the edge of the lawn whose centre lies outside go with the steep ones beside them, up to the edge.
  const isSteep = (column: number, row: number): boolean => slopeOfCellPct(column, row) > rules.slopeInsideMaxPct;
  const steep = groundOfCells(widenedRuns(steepRuns, isSteep), grid, map, lawn.lawn, site.gridM);
  const spots = patches.filter((runs) => !isPatch(runs));
  const steepest = (runs: readonly CellRun[]): Steepest => steepestOf(runs, slopeOfCellPct, grid, map);
  if (steep.length > 0)
    findings.push(steepGround(totalAreaM2(steep), patches.length - spots.length, steepest(steepRuns), rules));
  if (spots.length > 0) findings.push(steepSpots(spots.length, steepest(spots.flat()), rules));
  return {
    output: {
      maxSlopePct: survey.maxSlopePct,
      knownShare: survey.known / survey.total,
      steep,
      slopeAtPct(x, y) {
        const at = map.toGrid(x, y);
        const column = Math.round((at.x - grid.firstCentreX) / grid.cellX);
        const row = Math.round((grid.firstCentreY - at.y) / grid.cellY);
        return slopeOfCellPct(column, row);
      },
      heightAtM(x, y) {
        const at = map.toGrid(x, y);
        return heightAtM(grid, at.x, at.y);
      },
    },
    findings,
  };
}

function unknown(finding: Finding): Staged<SlopeSurvey | undefined> {
  return { output: undefined, findings: [finding] };
}

function boxOf(polygons: readonly Polygon[]): PlaneBox {
  const box = { minX: Infinity, minY: Infinity, maxX: -Infinity, maxY: -Infinity };
  for (const { outer } of polygons) {
    for (let i = 0; i < outer.length; i += 2) {
      box.minX = Math.min(box.minX, outer[i]);
      box.maxX = Math.max(box.maxX, outer[i]);
      box.minY = Math.min(box.minY, outer[i + 1]);
      box.maxY = Math.max(box.maxY, outer[i + 1]);
    }
  }
  return box;
}

/** Whether the box, brought to the grid, meets it. */
function meets(box: PlaneBox, grid: ElevationGrid, map: GridMap): boolean {
  const corners = [box.minX, box.maxX].flatMap((x) => [box.minY, box.maxY].map((y) => map.toGrid(x, y)));
  const columns = corners.map(({ x }) => (x - grid.firstCentreX) / grid.cellX);
  const rows = corners.map(({ y }) => (grid.firstCentreY - y) / grid.cellY);
  return (
    Math.max(...columns) >= -1 &&
    Math.min(...columns) <= grid.columns &&
    Math.max(...rows) >= -1 &&
    Math.min(...rows) <= grid.rows
  );
}

type Steepest = { readonly slopePct: number; readonly at: PlanePoint };

function steepestOf(
  runs: readonly CellRun[],
  slopeOfCellPct: (column: number, row: number) => number,
  grid: ElevationGrid,
  map: GridMap,
): Steepest {
  let best = { slopePct: Number.NEGATIVE_INFINITY, column: 0, row: 0 };
  for (const { row, from, to } of runs) {
    for (let column = from; column <= to; column++) {
      const slopePct = slopeOfCellPct(column, row);
      if (slopePct > best.slopePct) best = { slopePct, column, row };
    }
  }
  const at = map.toPlane(grid.firstCentreX + best.column * grid.cellX, grid.firstCentreY - best.row * grid.cellY);
  return { slopePct: best.slopePct, at };
}

function steepGround(areaM2: number, count: number, { slopePct, at }: Steepest, rules: Rules): Finding {
  const places = count === 1 ? 'one place' : `${count} places`;
  return {
    code: 'survey-slope.steep-ground',
    severity: rules.excludeSteep ? 'note' : 'caution',
    message:
      `${areaM2.toFixed(1)} m² of the lawn in ${places} is steeper than ${rules.slopeInsideMaxPct} %; ` +
      `the steepest has ${slopePct.toFixed(1)} %.`,
    advice: rules.excludeSteep
      ? 'The rule set keeps the machine off it: these places become keep-outs and are mown by hand.'
      : 'Look at these places on site: take them out of the working area, or regrade them; the manual of the machine says what it climbs.',
    value: slopePct,
    limit: rules.slopeInsideMaxPct,
    unit: '%',
    at,
  };
}

function steepSpots(count: number, { slopePct, at }: Steepest, rules: Rules): Finding {
  return {
    code: 'survey-slope.steep-spots',
    severity: 'note',
    message:
      `${count === 1 ? 'One spot' : `${count} spots`} smaller than ${STEEP_PATCH_MIN_M2} m² read steeper than ` +
      `${rules.slopeInsideMaxPct} % (up to ${slopePct.toFixed(1)} %); such spots are not counted as steep ground.`,
    advice: 'Look whether a kerb, the edge of a bed or a molehill lies there, or only noise of the survey.',
    value: slopePct,
    limit: rules.slopeInsideMaxPct,
    unit: '%',
    at,
  };
}
