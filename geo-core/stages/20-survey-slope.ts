import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { DerivedLawn, SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { polygonAreaM2, ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import {
  coarseGrid,
  gridElsewhere,
  gridFindings,
  noGrid,
  noisyGrid,
  unknownCrs,
} from '#geo-core/terrain/grid-findings.ts';
import { gridMap, type PlaneBox } from '#geo-core/terrain/grid-map.ts';
import { gridNoiseM } from '#geo-core/terrain/grid-noise.ts';
import { heightAtM } from '#geo-core/terrain/sample.ts';
import { cellSizeM } from '#geo-core/terrain/slope.ts';
import { slopeBlock } from '#geo-core/terrain/slope-block.ts';
import { riseAt, slopeField, slopePctOf } from '#geo-core/terrain/slope-field.ts';
import { steepGround } from '#geo-core/terrain/steep-ground.ts';
import { surveyCells } from '#geo-core/terrain/survey-cells.ts';

export type SurveySlopeInput = { readonly site: PlaneSite; readonly lawn: DerivedLawn };

/**
 * Steep ground counts from this size, about the footprint of a machine in a turn; smaller spots are kerbs, edges of beds or
 * noise of the survey, and smaller level spots within steep ground are no use. Common practice, no source.
 */
const STEEP_PATCH_MIN_M2 = 1;

/**
 * Lawn and elevation grid -> the slope that the machine feels (planes fitted over its wheelbase) with its uncertainty, steep
 * ground as contours at the limit, height and slope at any point of the lawn. A cell belongs to the lawn where its centre
 * does. Undefined where no grid was given or none of it helps.
 */
export function surveySlope({ site, lawn }: SurveySlopeInput, rules: Rules): Staged<SlopeSurvey | undefined> {
  if (lawn.lawn.length === 0) return { output: undefined, findings: [] };
  const grid = site.elevation;
  if (grid === undefined) return unknown(noGrid());
  const crs = crsByEpsg(grid.epsg);
  if (crs === undefined) return unknown(unknownCrs(grid));
  const box = boxOf(lawn.ground.length > 0 ? lawn.ground : lawn.lawn);
  const map = gridMap(grid, crs, site.plane, box);
  const middleInGrid = map.toGrid((box.minX + box.maxX) / 2, (box.minY + box.maxY) / 2);
  const cell = cellSizeM(grid, middleInGrid.x, middleInGrid.y);
  const block = slopeBlock(box, grid, map);
  // Far from its own ground a projection may stretch a lawn over millions of rows: look at the box before the cells.
  if (!(cell.xM > 0 && cell.yM > 0) || block === undefined) {
    return unknown(gridElsewhere(grid, crs, site.plane, middleInGrid));
  }
  const field = slopeField(grid, map, block, rules.wheelBaseM);
  const slopeOfCellPct = (column: number, row: number): number => slopePctOf(riseAt(field, column, row));
  const survey = surveyCells(lawn.lawn, grid, map, slopeOfCellPct);
  if (survey.outside === survey.total) return unknown(gridElsewhere(grid, crs, site.plane, middleInGrid));
  const findings = [...gridFindings(grid, survey)];
  if (survey.known === 0) return { output: undefined, findings };
  // A grid without nine known heights side by side anywhere tells no scatter, and no slope either.
  const toldM = gridNoiseM(grid, survey.cells);
  const noiseM = Number.isNaN(toldM) ? 0 : toldM;
  const uncertaintyPct = 200 * field.scatterPerM * noiseM;
  findings.push(...coarseGrid(grid, cell, rules), ...noisyGrid(grid, noiseM, uncertaintyPct, rules));
  const patches = steepGround(field, rules.slopeInsideMaxPct, grid, map, lawn.lawn, site.gridM);
  const isPatch = (polygon: Polygon): boolean => polygonAreaM2(polygon) >= STEEP_PATCH_MIN_M2;
  const steep = patches.filter(isPatch).map(withoutLevelSpots);
  const spots = patches.filter((polygon) => !isPatch(polygon));
  const steepest = (polygons: readonly Polygon[]): Steepest => {
    const { slopePct, column, row } = surveyCells(polygons, grid, map, slopeOfCellPct).steepest;
    const at = map.toPlane(grid.firstCentreX + column * grid.cellX, grid.firstCentreY - row * grid.cellY);
    return { slopePct, at };
  };
  if (steep.length > 0) findings.push(steepFinding(steep, steepest(steep), uncertaintyPct, rules));
  if (spots.length > 0) findings.push(steepSpots(spots.length, steepest(spots), rules));
  const rise: SlopeSurvey['riseAt'] = (x, y) => {
    const at = map.toGrid(x, y);
    const column = Math.round((at.x - grid.firstCentreX) / grid.cellX);
    return riseAt(field, column, Math.round((grid.firstCentreY - at.y) / grid.cellY));
  };
  return {
    output: {
      maxSlopePct: survey.steepest.slopePct,
      knownShare: survey.known / survey.total,
      steep,
      uncertaintyPct,
      noiseM,
      cellM: Math.max(cell.xM, cell.yM),
      riseAt: rise,
      slopeAtPct: (x, y) => slopePctOf(rise(x, y)),
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

function withoutLevelSpots({ outer, holes }: Polygon): Polygon {
  return { outer, holes: holes.filter((hole) => Math.abs(ringAreaM2(hole)) >= STEEP_PATCH_MIN_M2) };
}

type Steepest = { readonly slopePct: number; readonly at: PlanePoint };

function steepFinding(
  steep: readonly Polygon[],
  { slopePct, at }: Steepest,
  uncertaintyPct: number,
  rules: Rules,
): Finding {
  const places = steep.length === 1 ? 'one place' : `${steep.length} places`;
  return {
    code: 'survey-slope.steep-ground',
    severity: rules.excludeSteep ? 'note' : 'caution',
    message:
      `${totalAreaM2(steep).toFixed(1)} m² of the lawn in ${places} is steeper than ${rules.slopeInsideMaxPct} %; ` +
      `the steepest has ${slopePct.toFixed(1)} %${uncertaintyPct >= 0.05 ? ` (± ${uncertaintyPct.toFixed(1)} %)` : ''}.`,
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
