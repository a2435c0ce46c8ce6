import type { Route } from '#geo-core/model/plane-plan.ts';
import type { DrawnFeature } from '../drawing.ts';
import { SANS } from '../faces.ts';
import type { Material } from './material.ts';
import { isKind, type Sheet } from './sheet.ts';

/** Spacings of the direction ticks by chainage, in metres or feet; closer ones appear as the sheet comes nearer. */
const TICKS = { m: [100, 50, 20, 10, 5], ft: [400, 200, 100, 50, 25] } as const;
/** What the layers tell ticks apart by, whatever they are written in. */
const RANKS_M = TICKS.m;
/** So near the station its mark covers a written chainage. */
const END_CLEAR_M = 2;

/** The one closed wire: a thick line with direction ticks by chainage; leads as two thin lines side by side. */
export const joinRoute: Sheet = {
  stage: '50-join-route',
  did: ({ outputs, plan, figures, say }) => {
    const { routes, leads } = outputs['50-join-route'];
    if (routes.length === 0) return say('did.noWire');
    return say('did.route', {
      n: routes.length,
      length: figures.length(plan.summary.routeLengthM),
      leads: leads.length,
      leadLength: figures.length(plan.summary.leadLengthM),
    });
  },
  kinds: ['lead'],
  draw: (material) => {
    // A wire that failed its audit is no plan: it is not drawn as one.
    if (!material.plan.audit.passed) return [];
    const { routes } = material.outputs['50-join-route'];
    return routes.flatMap((route) => [...pieces(route, material), ...ticks(route, material)]);
  },
  layers: (ink) => [
    {
      depth: 'line',
      layer: {
        id: 'lead-ground',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'lead'],
        paint: { 'line-color': ink.lawn, 'line-width': 4 },
      },
    },
    {
      depth: 'line',
      layer: {
        id: 'lead-pair',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'lead'],
        paint: { 'line-color': ink.line, 'line-width': 1.2, 'line-gap-width': 2.4 },
      },
    },
    {
      depth: 'line',
      layer: {
        id: 'route-line',
        type: 'line',
        filter: ['all', ['==', ['get', 'kind'], 'route'], ['!=', ['get', 'of'], 'lead']],
        layout: { 'line-join': 'round', 'line-cap': 'round' },
        paint: { 'line-color': ink.line, 'line-width': ['interpolate', ['linear'], ['zoom'], 17, 2, 20, 3, 23, 5] },
      },
    },
    {
      depth: 'symbol',
      layer: {
        id: 'route-tick',
        type: 'symbol',
        filter: [
          'all',
          ['==', ['get', 'kind'], 'tick'],
          ['>=', ['get', 'everyM'], ['step', ['zoom'], 100, 17, 50, 18.2, 20, 19.3, 10, 20.4, 5]],
        ],
        layout: {
          'icon-image': 'mark-tick',
          'icon-rotate': ['get', 'headingDeg'],
          'icon-rotation-alignment': 'map',
          'icon-allow-overlap': true,
          'icon-ignore-placement': true,
        },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'route-chainage',
        type: 'symbol',
        minzoom: 19.3,
        filter: [
          'all',
          ['==', ['get', 'kind'], 'tick'],
          ['>=', ['get', 'everyM'], ['step', ['zoom'], 50, 20.4, 20, 21.4, 10]],
        ],
        layout: {
          'text-field': ['get', 'label'],
          'text-font': [SANS],
          'text-size': 11,
          'text-variable-anchor': ['left', 'right', 'top', 'bottom'],
          'text-radial-offset': 0.9,
          'text-padding': 4,
        },
        paint: { 'text-color': ink.soft, 'text-halo-color': ink.lawn, 'text-halo-width': 1.5 },
      },
    },
  ],
  key: [
    {
      label: 'key.route',
      shows: isKind('route'),
      swatch: { type: 'line', width: 3, tone: 'line', mark: 'mark-tick' },
    },
    { label: 'key.lead', shows: isKind('lead'), swatch: { type: 'double' } },
  ],
};

/** The route cut where it changes between loop and lead, each piece with the chainages of its ends. */
function pieces(route: Route, { pen }: Material): DrawnFeature[] {
  return route.spans
    .filter(({ firstVertex, lastVertex }) => lastVertex > firstVertex)
    .map(({ of, firstVertex, lastVertex }) =>
      pen.line(route.line.subarray(2 * firstVertex, 2 * lastVertex + 2), {
        kind: 'route',
        id: route.id,
        of,
        fromM: route.chainageM[firstVertex],
        toM: route.chainageM[lastVertex],
      }),
    );
}

function ticks(route: Route, { pen, figures }: Material): DrawnFeature[] {
  const drawn: DrawnFeature[] = [];
  const { line, chainageM } = route;
  const spacings = TICKS[figures.lengthUnit];
  const closest = spacings[spacings.length - 1];
  const unitM = figures.fromLength(1);
  for (const { of, firstVertex, lastVertex } of route.spans) {
    if (of === 'lead') continue;
    for (let vertex = firstVertex; vertex < lastVertex; vertex++) {
      const [fromM, toM] = [chainageM[vertex], chainageM[vertex + 1]];
      const a = { x: line[2 * vertex], y: line[2 * vertex + 1] };
      const b = { x: line[2 * vertex + 2], y: line[2 * vertex + 3] };
      for (let along = (Math.floor(fromM / unitM / closest) + 1) * closest; along * unitM <= toM; along += closest) {
        const atM = along * unitM;
        const isNearEnd = atM < END_CLEAR_M || route.lengthM - atM < END_CLEAR_M;
        const share = (atM - fromM) / (toM - fromM);
        const everyM = RANKS_M[spacings.findIndex((spacing) => along % spacing === 0)];
        const at = { x: a.x + (b.x - a.x) * share, y: a.y + (b.y - a.y) * share };
        drawn.push(
          pen.point(at, {
            kind: 'tick',
            headingDeg: pen.headingDeg(a, b),
            everyM,
            atM,
            label: isNearEnd ? '' : `${along}`,
          }),
        );
      }
    }
  }
  return drawn;
}
