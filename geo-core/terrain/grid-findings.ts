import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Finding } from '#geo-core/model/finding.ts';
import { type LocalPlane, lonLat } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import type { Crs } from '#geo-core/projection/crs-registry.ts';
import { geodesicInverse } from '#geo-core/projection/geodesic.ts';
import type { CellSizeM } from './slope.ts';
import type { CellSurvey } from './survey-cells.ts';

/** What an elevation grid itself gives cause to say; the codes belong to stage 20. */

/** Cells wider than so many wheelbases hide banks that the machine feels; ten of them hide terraces too. Common practice, no source. */
const FINE_CELL_WHEELBASES = 2;
const COARSE_CELL_WHEELBASES = 10;
/** A limit cannot be judged by slopes that are uncertain by more than this share of it. Common practice, no source. */
const UNCERTAIN_SHARE = 0.5;
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

/** Cells too wide for what the machine feels: a note, and a caution where whole terraces may hide in one. */
export function coarseGrid({ source }: ElevationGrid, cell: CellSizeM, { wheelBaseM }: Rules): Finding[] {
  const cellM = Math.max(cell.xM, cell.yM);
  const limitM = FINE_CELL_WHEELBASES * wheelBaseM;
  // A grid of that size may be off by the scale of its projection.
  if (cellM <= limitM * 1.01) return [];
  return [
    {
      code: 'survey-slope.grid-too-coarse',
      severity: cellM > COARSE_CELL_WHEELBASES * wheelBaseM ? 'caution' : 'note',
      message: `The elevation grid ${source} has cells of ${cellM.toFixed(1)} m, the machine feels a slope over ${wheelBaseM} m: banks and terraces narrower than ${(2 * cellM).toFixed(1)} m read too gentle or do not show.`,
      advice: `Send a grid with cells of ${limitM} m or less, or measure steep places on site.`,
      value: cellM,
      limit: limitM,
      unit: 'm',
    },
  ];
}

/** Heights that scatter too much for a limit of the rule set. */
export function noisyGrid({ source }: ElevationGrid, noiseM: number, uncertaintyPct: number, rules: Rules): Finding[] {
  const limits = [
    { name: 'inside', limitPct: rules.slopeInsideMaxPct },
    { name: 'along the wire', limitPct: rules.slopeAtWireMaxPct },
    { name: 'under the station', limitPct: rules.slopeAtStationMaxPct },
  ];
  const unsure = limits.filter(({ limitPct }) => uncertaintyPct > UNCERTAIN_SHARE * limitPct);
  if (unsure.length === 0) return [];
  const named = unsure.map(({ name, limitPct }) => `${limitPct} % ${name}`).join(', ');
  const isInside = unsure.some(({ name }) => name === 'inside');
  return [
    {
      code: 'survey-slope.grid-too-noisy',
      severity: isInside ? 'caution' : 'note',
      message: `Heights of ${source} scatter by ${(100 * noiseM).toFixed(1)} cm, so the slope of a single place is known to ± ${uncertaintyPct.toFixed(1)} % only: too little to judge ${named}.`,
      advice:
        'Check such places with a spirit level on site; the slope under a station is taken over its whole pad and surer than that.',
      value: uncertaintyPct,
      limit: UNCERTAIN_SHARE * Math.max(...unsure.map(({ limitPct }) => limitPct)),
      unit: '%',
    },
  ];
}

export function gridFindings(grid: ElevationGrid, survey: CellSurvey): Finding[] {
  const findings: Finding[] = [];
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
