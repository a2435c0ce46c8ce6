import { lineLengthM } from '#geo-core/index.ts';
import type { EdgeRing } from '#geo-core/model/plane-plan.ts';
import type { Polyline } from '#geo-core/model/position.ts';
import type { DrawnFeature } from '../drawing.ts';
import type { Material } from './material.ts';
import type { KeyEntry, Sheet } from './sheet.ts';

const NAMES = {
  'level-paving': 'Level paving beyond',
  'open-ground': 'Open ground beyond',
  planting: 'Planting beyond',
  wall: 'Wall beyond',
  fence: 'Fence beyond',
  hedge: 'Hedge beyond',
  'step-up': 'Step up beyond',
  'step-down': 'Step down beyond',
  drop: 'Drop beyond',
  water: 'Water beyond',
  road: 'Road beyond',
  unknown: 'Nothing said about beyond',
} as const;
type Told = keyof typeof NAMES;

/** What lies beyond each stretch of lawn edge, told by a mark on its far side. */
export const classifyEdges: Sheet = {
  stage: '25-classify-edges',
  title: 'Read the edges',
  did: ({ outputs, figures }) => {
    const lengths = new Map<Told, number>();
    for (const { beyond, line } of outputs['25-classify-edges'].flatMap(ringsOf).flatMap(runs)) {
      lengths.set(beyond, (lengths.get(beyond) ?? 0) + lineLengthM(line));
    }
    const told = [...lengths]
      .sort(([, a], [, b]) => b - a)
      .map(([beyond, lengthM]) => `${figures.length(lengthM)} ${beyond.replace('-', ' ')}`);
    return told.length === 0 ? 'No edges to read.' : `Beyond the lawn edge: ${told.join(', ')}.`;
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
  key: Object.entries(NAMES).map(
    ([beyond, label]): KeyEntry => ({
      label,
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
