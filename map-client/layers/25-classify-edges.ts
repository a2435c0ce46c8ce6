import { lineLengthM } from '#geo-core/index.ts';
import type { EdgeRing } from '#geo-core/model/plane-plan.ts';
import type { Polyline } from '#geo-core/model/position.ts';
import { BEYONDS } from '#geo-core/model/site.ts';
import type { DrawnFeature } from '../drawing.ts';
import type { Material } from './material.ts';
import type { KeyEntry, Sheet } from './sheet.ts';

const TOLD = [...BEYONDS, 'unknown'] as const;
type Told = (typeof TOLD)[number];

/** What lies beyond each stretch of lawn edge, told by a mark on its far side. */
export const classifyEdges: Sheet = {
  stage: '25-classify-edges',
  did: ({ outputs, figures, say }) => {
    const lengths = new Map<Told, number>();
    for (const { beyond, line } of outputs['25-classify-edges'].flatMap(ringsOf).flatMap(runs)) {
      lengths.set(beyond, (lengths.get(beyond) ?? 0) + lineLengthM(line));
    }
    const told = [...lengths]
      .sort(([, a], [, b]) => b - a)
      .map(([beyond, lengthM]) => `${figures.length(lengthM)} ${say(`beyond.${beyond}`)}`);
    return told.length === 0 ? say('did.noEdges') : say('did.edges', { told: told.join(', ') });
  },
  kinds: [],
  draw: (material) =>
    material.outputs['25-classify-edges'].flatMap(ringsOf).flatMap((ring) => drawRuns(ring, material)),
  layers: () => [
    {
      depth: 'mark',
      layer: {
        id: 'edge-mark',
        type: 'line',
        layout: { 'line-join': 'round' },
        paint: { 'line-pattern': ['concat', 'edge-', ['get', 'beyond']], 'line-width': 10, 'line-offset': 5 },
      },
    },
  ],
  key: TOLD.map(
    (beyond): KeyEntry => ({
      label: 'key.beyond',
      what: `beyond.${beyond}`,
      shows: (properties) => properties.beyond === beyond,
      swatch: { type: 'edge', texture: `edge-${beyond}` },
    }),
  ),
};

function ringsOf({ outer, holes }: { outer: EdgeRing; holes: readonly EdgeRing[] }): EdgeRing[] {
  return [outer, ...holes];
}

function drawRuns(ring: EdgeRing, { pen }: Material): DrawnFeature[] {
  return runs(ring).map(({ beyond, line }) => pen.line(line, { kind: 'edge', beyond }));
}

/** The ring cut into the longest stretches with one thing beyond them; interior stays on the left. */
function runs({ ring, beyond }: EdgeRing): { beyond: Told; line: Polyline }[] {
  const count = beyond.length;
  const change = beyond.findIndex((told, edge) => told !== beyond[(edge + count - 1) % count]);
  const start = Math.max(change, 0);
  const result: { beyond: Told; line: Polyline }[] = [];
  for (let edge = 0; edge < count; ) {
    const first = edge;
    const told = beyond[(start + first) % count];
    while (edge < count && beyond[(start + edge) % count] === told) edge++;
    const line = new Float64Array(2 * (edge - first + 1));
    for (let i = first; i <= edge; i++) {
      const vertex = (start + i) % count;
      line[2 * (i - first)] = ring[2 * vertex];
      line[2 * (i - first) + 1] = ring[2 * vertex + 1];
    }
    result.push({ beyond: told, line });
  }
  return result;
}
