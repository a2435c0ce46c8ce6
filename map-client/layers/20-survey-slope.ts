import { pointInPolygon } from '#geo-core/index.ts';
import type { DrawnFeature } from '../drawing.ts';
import { extentOf } from './extent.ts';
import type { Material } from './material.ts';
import { isKind, type Sheet } from './sheet.ts';

const SAMPLES_ACROSS = 22;
const STEP_M = 0.5;

/** Steep ground shaded; at its own step the fall of the whole lawn as survey hachures, longer where steeper. */
export const surveySlope: Sheet = {
  stage: '20-survey-slope',
  did: ({ outputs, plan, figures, say }) => {
    const survey = outputs['20-survey-slope'];
    if (survey === undefined) return say('did.noHeights');
    const known = figures.percent(100 * survey.knownShare);
    const limit = figures.percent(plan.rules.slopeInsideMaxPct);
    const over = say(survey.steep.length === 0 ? 'did.slopeNone' : 'did.slopeOver', { limit });
    return `${say('did.slope', { steepest: figures.percent(survey.maxSlopePct), known })} ${over}`;
  },
  kinds: ['steep'],
  draw: hachures,
  layers: (ink) => [
    {
      depth: 'hatch',
      layer: {
        id: 'steep-shade',
        type: 'fill',
        filter: ['==', ['get', 'kind'], 'steep'],
        paint: { 'fill-pattern': 'fill-steep' },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'steep-limit',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'steep'],
        paint: { 'line-color': ink.line, 'line-width': 1.2, 'line-dasharray': [2, 2] },
      },
    },
    {
      depth: 'mark',
      onlyAtItsStep: true,
      layer: {
        id: 'slope-hachure',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'hachure'],
        layout: { 'line-cap': 'round' },
        paint: {
          'line-color': ink.line,
          'line-width': ['interpolate', ['linear'], ['get', 'slopePct'], 0, 0.6, 40, 2.4],
        },
      },
    },
  ],
  key: [{ label: 'key.steep', shows: isKind('steep'), swatch: { type: 'wash', wash: 'lawn', texture: 'fill-steep' } }],
};

/** Short strokes down the fall of the ground on a regular grid over the lawn. */
function hachures({ outputs, pen }: Material): DrawnFeature[] {
  const survey = outputs['20-survey-slope'];
  if (survey === undefined) return [];
  const { lawn } = outputs['15-derive-lawn'];
  const { west, south, east, north } = extentOf(lawn);
  const spacingM = Math.max(east - west, north - south) / SAMPLES_ACROSS;
  if (!(spacingM > 0)) return [];
  const drawn: DrawnFeature[] = [];
  for (let x = west; x <= east; x += spacingM) {
    for (let y = south; y <= north; y += spacingM) {
      const slopePct = survey.slopeAtPct(x, y);
      const fallX = survey.heightAtM(x - STEP_M, y) - survey.heightAtM(x + STEP_M, y);
      const fallY = survey.heightAtM(x, y - STEP_M) - survey.heightAtM(x, y + STEP_M);
      const fall = Math.sqrt(fallX * fallX + fallY * fallY);
      if (!(slopePct > 1) || !(fall > 0) || !lawn.some((polygon) => pointInPolygon(polygon, x, y))) continue;
      const lengthM = spacingM * Math.min(0.9, 0.25 + slopePct / 60);
      const stroke = Float64Array.of(x, y, x + (fallX / fall) * lengthM, y + (fallY / fall) * lengthM);
      drawn.push(pen.line(stroke, { kind: 'hachure', slopePct }));
    }
  }
  return drawn;
}
