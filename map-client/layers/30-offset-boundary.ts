import { distanceM, totalAreaM2 } from '#geo-core/index.ts';
import type { EdgeRing } from '#geo-core/model/plane-plan.ts';
import type { DrawnFeature } from '../drawing.ts';
import { SANS } from '../faces.ts';
import type { Material } from './material.ts';
import type { Sheet } from './sheet.ts';

/** The line the boundary wire would take without keep-outs (only at its step), and one dimensioned offset for each kind of edge. */
export const offsetBoundary: Sheet = {
  stage: '30-offset-boundary',
  did: ({ outputs, figures, say }) => {
    const inset = outputs['30-offset-boundary'];
    if (inset.length === 0) return say('did.noInset');
    return say('did.inset', { area: figures.area(totalAreaM2(inset)), n: inset.length });
  },
  kinds: [],
  draw: (material) => [
    ...material.outputs['30-offset-boundary'].map((polygon) => material.pen.areas([polygon], { kind: 'inset' })),
    ...typicalOffsets(material),
  ],
  layers: (ink) => [
    {
      depth: 'line',
      onlyAtItsStep: true,
      layer: {
        id: 'inset-line',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'inset'],
        layout: { 'line-join': 'round' },
        paint: { 'line-color': ink.line, 'line-width': 2, 'line-dasharray': [3, 2] },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'offset-dimension',
        type: 'line',
        minzoom: 20.5,
        filter: ['==', ['get', 'kind'], 'offset-dimension'],
        paint: { 'line-color': ink.soft, 'line-width': 1.2 },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'offset-figure',
        type: 'symbol',
        minzoom: 20.5,
        filter: ['==', ['get', 'kind'], 'offset-figure'],
        layout: {
          'text-field': ['get', 'label'],
          'text-font': [SANS],
          'text-size': 12,
          'text-variable-anchor': ['left', 'right', 'top', 'bottom'],
          'text-radial-offset': 0.6,
        },
        paint: { 'text-color': ink.line, 'text-halo-color': ink.paper, 'text-halo-width': 2 },
      },
    },
  ],
  key: [],
};

/** On the longest edge of each kind: a short line from the edge to where the wire goes, with its length. */
function typicalOffsets({ outputs, pen, figures }: Material): DrawnFeature[] {
  const longest = new Map<string, { lengthM: number; ring: EdgeRing; edge: number }>();
  for (const { outer, holes } of outputs['25-classify-edges']) {
    for (const ring of [outer, ...holes]) {
      ring.beyond.forEach((beyond, edge) => {
        const lengthM = distanceM(...ends(ring, edge));
        if (lengthM > (longest.get(beyond)?.lengthM ?? 0)) longest.set(beyond, { lengthM, ring, edge });
      });
    }
  }
  return [...longest.values()].flatMap(({ lengthM, ring, edge }) => {
    const [ax, ay, bx, by] = ends(ring, edge);
    const offsetM = ring.offsetsM[edge];
    const [x, y] = [ax + (bx - ax) * 0.4, ay + (by - ay) * 0.4];
    const [inX, inY] = [x - ((by - ay) / lengthM) * offsetM, y + ((bx - ax) / lengthM) * offsetM];
    return [
      pen.line(Float64Array.of(x, y, inX, inY), { kind: 'offset-dimension' }),
      pen.point({ x: inX, y: inY }, { kind: 'offset-figure', label: figures.length(offsetM) }),
    ];
  });
}

function ends({ ring }: EdgeRing, edge: number): [ax: number, ay: number, bx: number, by: number] {
  const next = (2 * edge + 2) % ring.length;
  return [ring[2 * edge], ring[2 * edge + 1], ring[next], ring[next + 1]];
}
