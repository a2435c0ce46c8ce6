import { lineLengthM } from '#geo-core/index.ts';
import type { DrawnFeature } from '../drawing.ts';
import { SANS, SERIF_ITALIC } from '../faces.ts';
import { partName } from '../wording/part-name.ts';
import type { Material } from './material.ts';
import { isKind, type KeyEntry, type Sheet } from './sheet.ts';

const CONNECTED = [
  ['narrow-passage', 'key.zoneNarrow'],
  ['isolated', 'key.zoneIsolated'],
] as const;

/** Zones by long-dash limits and a pattern for how they are reached; passages as dimension lines. */
export const splitZones: Sheet = {
  stage: '40-split-zones',
  did: ({ outputs, figures, say }) => {
    const { zones, passages } = outputs['40-split-zones'];
    const isolated = zones.filter(({ connectivity }) => connectivity === 'isolated').length;
    const told = say('did.zones', { zones: zones.length, isolated, passages: passages.length });
    if (passages.length === 0) return told;
    const width = figures.length(Math.min(...passages.map(({ widthM }) => widthM)));
    return `${told} ${say('did.narrowest', { width })}`;
  },
  kinds: ['zone', 'passage'],
  draw: (material) => [...widths(material), ...names(material)],
  layers: (ink) => [
    {
      depth: 'hatch',
      layer: {
        id: 'zone-pattern',
        type: 'fill',
        filter: ['all', ['==', ['get', 'kind'], 'zone'], ['!=', ['get', 'connectivity'], 'reachable']],
        paint: { 'fill-pattern': ['concat', 'fill-zone-', ['get', 'connectivity']] },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'zone-limit',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'zone'],
        paint: { 'line-color': ink.soft, 'line-width': 1.1, 'line-dasharray': [10, 4] },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'passage-centre',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'passage'],
        paint: { 'line-color': ink.soft, 'line-width': 1, 'line-dasharray': [8, 3, 1, 3] },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'passage-width',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'passage-width'],
        paint: { 'line-color': ink.line, 'line-width': 1.2 },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'passage-arrow',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'passage-arrow'],
        layout: {
          'icon-image': 'mark-arrow',
          'icon-rotate': ['get', 'headingDeg'],
          'icon-rotation-alignment': 'map',
          'icon-anchor': 'top',
          'icon-allow-overlap': true,
          'icon-ignore-placement': true,
        },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'passage-figure',
        type: 'symbol',
        minzoom: 18,
        filter: ['==', ['get', 'kind'], 'passage-figure'],
        layout: {
          'text-field': ['get', 'label'],
          'text-font': [SANS],
          'text-size': 13,
          'text-variable-anchor': ['left', 'right', 'top', 'bottom'],
          'text-radial-offset': 0.7,
          'text-allow-overlap': true,
        },
        paint: { 'text-color': ink.line, 'text-halo-color': ink.paper, 'text-halo-width': 2 },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'zone-name',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'zone-name'],
        layout: { 'text-field': ['get', 'label'], 'text-font': [SERIF_ITALIC], 'text-size': 15, 'text-padding': 8 },
        paint: { 'text-color': ink.line, 'text-halo-color': ink.lawn, 'text-halo-width': 3 },
      },
    },
  ],
  key: [
    ...CONNECTED.map(
      ([connectivity, label]): KeyEntry => ({
        label,
        shows: (properties) => properties.kind === 'zone' && properties.connectivity === connectivity,
        swatch: { type: 'wash', wash: 'lawn', texture: `fill-zone-${connectivity}` },
      }),
    ),
    {
      label: 'key.zoneLimit',
      shows: isKind('passage'),
      swatch: { type: 'line', width: 1.1, dash: [11, 4], tone: 'soft' },
    },
    { label: 'key.passage', shows: isKind('passage-width'), swatch: { type: 'mark', mark: 'mark-width' } },
  ],
};

function widths({ outputs, pen, figures }: Material): DrawnFeature[] {
  return outputs['40-split-zones'].passages.flatMap(({ narrowestAt: [a, b], widthM }) => {
    const line = Float64Array.of(a.x, a.y, b.x, b.y);
    if (lineLengthM(line) === 0) return [];
    const middle = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
    return [
      pen.line(line, { kind: 'passage-width' }),
      pen.point(a, { kind: 'passage-arrow', headingDeg: pen.headingDeg(b, a) }),
      pen.point(b, { kind: 'passage-arrow', headingDeg: pen.headingDeg(a, b) }),
      pen.point(middle, { kind: 'passage-figure', label: figures.length(widthM) }),
    ];
  });
}

/** Names only where there is more than one zone to tell apart. */
function names({ outputs, pen, figures, say }: Material): DrawnFeature[] {
  const { zones } = outputs['40-split-zones'];
  if (zones.length < 2) return [];
  return zones.map(({ id, widestAt, areaM2 }) =>
    pen.point(widestAt, { kind: 'zone-name', label: `${partName(id, say)}\n${figures.area(areaM2)}` }),
  );
}
