import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Finding } from '#geo-core/model/finding.ts';
import { type LocalPlane, lonLat } from '#geo-core/model/position.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import type { Crs } from '#geo-core/projection/crs-registry.ts';
import { geodesicInverse } from '#geo-core/projection/geodesic.ts';
import type { CellSizeM } from './slope.ts';
import type { CellSurvey } from './survey-cells.ts';

/** What an elevation grid itself gives cause to say; the codes belong to stage 20. */

/** A cell wider than this hides banks and terraces that matter to a machine, metres. Common practice, no source. */
const CELL_MAX_M = 5;
/** More unknown ground than this is worth a caution, percent. Common practice, no source. */
const UNKNOWN_MAX_PCT = 10;

export function noGrid(): Finding {
  return {
    code: 'survey-slope.no-grid',
    severity: 'note',
    message: 'No elevation grid came with the site, so nothing is known about slopes.',
    advice: 'Walk the lawn with a spirit level, or send an elevation grid with cells of 1 m or less.',
  };
}

export function unknownCrs({ epsg, source }: ElevationGrid): Finding {
  return {
    code: 'survey-slope.unknown-crs',
    severity: 'caution',
    message: `The elevation grid ${source} is in EPSG:${epsg}, which is not known here; slopes were not surveyed.`,
    advice: 'Reproject the grid to the UTM zone of the site, or to EPSG:4326.',
  };
}

type InGrid = { readonly x: number; readonly y: number };

export function gridElsewhere(grid: ElevationGrid, crs: Crs, plane: LocalPlane, site: InGrid): Finding {
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

/** Metres up to a kilometre, then kilometres. */
function distanceText(distanceM: number): string {
  return distanceM < 1000
    ? `${distanceM.toFixed(0)} m`
    : `${(distanceM / 1000).toFixed(distanceM < 100_000 ? 1 : 0)} km`;
}

export function gridFindings(grid: ElevationGrid, cell: CellSizeM, survey: CellSurvey): Finding[] {
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
