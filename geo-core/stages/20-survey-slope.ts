import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { DerivedLawn, SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import { type LocalPlane, lonLat, type Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { type Crs, crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { geodesicInverse } from '#geo-core/projection/geodesic.ts';
import { type GridMap, gridMap, type PlaneBox } from '#geo-core/terrain/grid-map.ts';
import { heightAtM } from '#geo-core/terrain/sample.ts';
import { type CellSizeM, cellSizeM, cellSlopePct } from '#geo-core/terrain/slope.ts';
import { groundOfCells } from '#geo-core/terrain/steep-ground.ts';
import { type CellSurvey, surveyCells } from '#geo-core/terrain/survey-cells.ts';

export type SurveySlopeInput = { readonly site: PlaneSite; readonly lawn: DerivedLawn };

/**
 * Slope is taken over about a metre, a little more than a machine stands on: cells of half a metre and more by their direct
 * neighbours, finer ones by neighbours half a metre away, since lidar noise of 5 cm alone makes 10 % over half a metre.
 * Common practice, no source.
 */
const SLOPE_REACH_M = 0.5;
/** A cell wider than this hides banks and terraces that matter to a machine, metres. Common practice, no source. */
const CELL_MAX_M = 5;
/** More unknown ground than this is worth a caution, percent. Common practice, no source. */
const UNKNOWN_MAX_PCT = 10;

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
  if (!(cell.xM > 0 && cell.yM > 0)) return unknown(gridElsewhere(grid, crs, site.plane, middleInGrid));
  const reach = Math.max(1, Math.round(SLOPE_REACH_M / Math.max(cell.xM, cell.yM)));
  const slopeOfCellPct = (column: number, row: number): number => cellSlopePct(grid, column, row, cell, 'horn', reach);
  const survey = surveyCells(lawn.lawn, grid, map, slopeOfCellPct, rules.slopeInsideMaxPct);
  if (survey.outside === survey.total) return unknown(gridElsewhere(grid, crs, site.plane, middleInGrid));
  const findings = [...gridFindings(grid, cell, survey)];
  if (survey.known === 0) return { output: undefined, findings };
  const steep = groundOfCells(survey.steepRuns, grid, map, lawn.lawn, site.gridM);
  if (steep.length > 0) findings.push(steepGround(steep, survey, grid, map, rules));
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

function noGrid(): Finding {
  return {
    code: 'survey-slope.no-grid',
    severity: 'note',
    message: 'No elevation grid came with the site, so nothing is known about slopes.',
    advice: 'Walk the lawn with a spirit level, or send an elevation grid with cells of 1 m or less.',
  };
}

function unknownCrs({ epsg, source }: ElevationGrid): Finding {
  return {
    code: 'survey-slope.unknown-crs',
    severity: 'caution',
    message: `The elevation grid ${source} is in EPSG:${epsg}, which is not known here; slopes were not surveyed.`,
    advice: 'Reproject the grid to the UTM zone of the site, or to EPSG:4326.',
  };
}

type InGrid = { readonly x: number; readonly y: number };

function gridElsewhere(grid: ElevationGrid, crs: Crs, plane: LocalPlane, site: InGrid): Finding {
  const eastX = grid.firstCentreX + (grid.columns - 1) * grid.cellX;
  const southY = grid.firstCentreY - (grid.rows - 1) * grid.cellY;
  // The nearest cell, or the middle of the grid where its system cannot show the site at all.
  const nearX = Number.isFinite(site.x)
    ? Math.min(Math.max(site.x, grid.firstCentreX), eastX)
    : (grid.firstCentreX + eastX) / 2;
  const nearY = Number.isFinite(site.y)
    ? Math.min(Math.max(site.y, southY), grid.firstCentreY)
    : (grid.firstCentreY + southY) / 2;
  const near = crsConverter(crs).toLonLat(nearX, nearY);
  const { distanceM } = geodesicInverse(lonLat(plane.originLonDeg, plane.originLatDeg), near);
  const isOnEarth = Number.isFinite(distanceM);
  return {
    code: 'survey-slope.grid-elsewhere',
    severity: 'caution',
    message: isOnEarth
      ? `The elevation grid ${grid.source} does not reach the lawn: it lies about ${distanceText(distanceM)} away.`
      : `The elevation grid ${grid.source} lies nowhere on earth: its coordinates do not belong to EPSG:${grid.epsg}.`,
    advice: 'Send the grid of this place, and check its coordinate reference system.',
    ...(isOnEarth ? { value: distanceM, unit: 'm' } : {}),
  };
}

function distanceText(distanceM: number): string {
  return distanceM < 1000
    ? `${distanceM.toFixed(0)} m`
    : `${(distanceM / 1000).toFixed(distanceM < 100_000 ? 1 : 0)} km`;
}

function gridFindings(grid: ElevationGrid, cell: CellSizeM, survey: CellSurvey): Finding[] {
  const findings: Finding[] = [];
  const cellM = Math.max(cell.xM, cell.yM);
  if (cellM > CELL_MAX_M) {
    findings.push({
      code: 'survey-slope.grid-too-coarse',
      severity: 'caution',
      message: `The elevation grid ${grid.source} has cells of ${cellM.toFixed(1)} m: banks and terraces narrower than that do not show in it.`,
      advice: 'Send a grid with cells of 1 m or less, or measure steep places on site.',
      value: cellM,
      limit: CELL_MAX_M,
      unit: 'm',
    });
  }
  const outsidePct = (100 * survey.outside) / survey.total;
  if (survey.outside > 0) {
    findings.push({
      code: 'survey-slope.grid-partial',
      severity: outsidePct > UNKNOWN_MAX_PCT ? 'caution' : 'note',
      message: `The elevation grid ${grid.source} does not cover the whole lawn: ${outsidePct.toFixed(1)} % lies beyond it.`,
      advice: 'Send a grid that reaches a few metres past the lawn on all sides, or measure the rest on site.',
      value: outsidePct,
      limit: UNKNOWN_MAX_PCT,
      unit: '%',
    });
  }
  const unknownPct = (100 * (survey.total - survey.outside - survey.known)) / survey.total;
  if (survey.known + survey.outside < survey.total) {
    findings.push({
      code: 'survey-slope.unknown-ground',
      severity: unknownPct > UNKNOWN_MAX_PCT ? 'caution' : 'note',
      message: `The slope of ${unknownPct.toFixed(1)} % of the lawn is not known: the elevation grid ends there or has no height in or beside it.`,
      advice: 'Measure these places on site; under trees and beside buildings a survey from the air often has none.',
      value: unknownPct,
      limit: UNKNOWN_MAX_PCT,
      unit: '%',
    });
  }
  return findings;
}

function steepGround(
  steep: readonly Polygon[],
  survey: CellSurvey,
  grid: ElevationGrid,
  map: GridMap,
  rules: Rules,
): Finding {
  const { column, row } = survey.steepest;
  const areaM2 = totalAreaM2(steep);
  return {
    code: 'survey-slope.steep-ground',
    severity: rules.excludeSteep ? 'note' : 'caution',
    message:
      `${areaM2.toFixed(1)} m² of the lawn in ${steep.length === 1 ? 'one place' : `${steep.length} places`} is steeper than ` +
      `${rules.slopeInsideMaxPct} %; the steepest place has ${survey.maxSlopePct.toFixed(1)} %.`,
    advice: rules.excludeSteep
      ? 'The rule set keeps the machine off it: these places become keep-outs and are mown by hand.'
      : 'Look at these places on site: take them out of the working area, or regrade them; the manual of the machine says what it climbs.',
    value: survey.maxSlopePct,
    limit: rules.slopeInsideMaxPct,
    unit: '%',
    at: map.toPlane(grid.firstCentreX + column * grid.cellX, grid.firstCentreY - row * grid.cellY),
  };
}
