import type { Collection } from '#api/collections/collections.ts';
import { SHAPES_FROM_ZOOM } from './make-tile.ts';
import { boxOfTiled, type Tiled } from './tilesets.ts';

/** Ink of a layer: grass greens for ground, red-brown for wire, grey for what is only looked at. */
const INKS: Readonly<Record<string, string>> = {
  'working-area': '#8fb98a',
  zone: '#6f9f6b',
  'site-areas': '#b9b39a',
  plans: '#245b3a',
  sites: '#5b6b45',
  route: '#8a2f1d',
  'boundary-loop': '#8a2f1d',
  'keep-out-loop': '#8a2f1d',
  steep: '#c98b2b',
  'weak-signal': '#7a5c8e',
  findings: '#c0392b',
};
const INK = '#4a4a44';

/** A MapLibre style (style specification 8) of one collection or of all, over plain paper. */
export function styleOf(tiled: Tiled): object {
  const [west, south, east, north] = boxOfTiled(tiled);
  return {
    version: 8,
    name: tiled.title,
    center: [(west + east) / 2, (south + north) / 2],
    zoom: tiled.extent === undefined ? 1 : SHAPES_FROM_ZOOM + 4,
    sources: { loopwright: { type: 'vector', url: `${tiled.base}/tiles/tilejson.json`, promoteId: 'id' } },
    layers: [
      { id: 'paper', type: 'background', paint: { 'background-color': '#f6f5ee' } },
      ...(['polygon', 'line', 'point'] as const).flatMap((family) =>
        tiled.layers.filter((layer) => layer.family === family).flatMap(layersOf),
      ),
    ],
  };
}

function layersOf({ id, family }: Collection): object[] {
  const ink = INKS[id] ?? INK;
  const common = { source: 'loopwright', 'source-layer': id };
  const gathered = {
    ...common,
    id: `${id}-gathered`,
    type: 'circle',
    maxzoom: SHAPES_FROM_ZOOM,
    paint: {
      'circle-color': ink,
      'circle-opacity': 0.7,
      'circle-radius': ['interpolate', ['linear'], ['get', 'count'], 1, 4, 1000, 24],
    },
  };
  const shapes = { ...common, minzoom: SHAPES_FROM_ZOOM };
  if (family === 'point') {
    return [gathered, { ...shapes, id, type: 'circle', paint: { 'circle-color': ink, 'circle-radius': 3 } }];
  }
  const line = { ...shapes, id: `${id}-line`, type: 'line', paint: { 'line-color': ink, 'line-width': 1.5 } };
  if (family === 'line') return [gathered, line];
  return [
    gathered,
    { ...shapes, id: `${id}-fill`, type: 'fill', paint: { 'fill-color': ink, 'fill-opacity': 0.25 } },
    line,
  ];
}
