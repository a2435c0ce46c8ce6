import type { LonLat } from '#geo-core/model/position.ts';
import type { SiteKind } from '#geo-core/model/site.ts';
import type { DrawnFeature } from '../drawing.ts';
import type { Material } from './material.ts';
import { isKind, type Sheet } from './sheet.ts';

/** The site as given: thin outlines, nothing concluded yet. */
export const readSite: Sheet = {
  stage: '05-read-site',
  did: ({ outputs, findings, say }) => {
    const kinds = new Map<SiteKind, number>();
    for (const { kind } of outputs['05-read-site'].features) kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
    const named = [...kinds]
      .map(([kind, count]) => `${count === 1 ? '' : `${count} × `}${say(`kind.${kind}`)}`)
      .join(', ');
    const mends = findings.filter(({ code }) => code.startsWith('read-site.')).length;
    return `${named === '' ? say('did.nothingDrawn') : say('did.drawn', { kinds: named })} ${mends === 0 ? say('did.nothingToMend') : say('did.remarks', { n: mends })}`;
  },
  kinds: [],
  draw: ({ outputs }) => outputs['05-read-site'].features.flatMap(outlines),
  layers: (ink) => [
    {
      depth: 'mark',
      layer: {
        id: 'given-outline',
        type: 'line',
        filter: [
          'all',
          ['!=', ['get', 'kind'], 'parcel'],
          ['!=', ['get', 'kind'], 'lawn'],
          ['!=', ['get', 'kind'], 'edge'],
        ],
        paint: { 'line-color': ink.soft, 'line-width': ['match', ['get', 'kind'], 'building', 1.8, 0.9] },
      },
    },
    {
      depth: 'mark',
      onlyAtItsStep: true,
      layer: {
        id: 'given-lawn',
        type: 'line',
        filter: ['in', ['get', 'kind'], ['literal', ['lawn', 'edge']]],
        paint: { 'line-color': ink.line, 'line-width': 1.2 },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'given-parcel',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'parcel'],
        paint: { 'line-color': ink.soft, 'line-width': 1.3, 'line-dasharray': [12, 3, 1.5, 3, 1.5, 3] },
      },
    },
    {
      depth: 'symbol',
      layer: {
        id: 'given-point',
        type: 'symbol',
        filter: [
          'all',
          ['==', ['geometry-type'], 'Point'],
          ['in', ['get', 'kind'], ['literal', ['outlet', 'sprinkler', 'tree']]],
        ],
        layout: {
          'icon-image': ['concat', 'mark-', ['get', 'kind']],
          'icon-allow-overlap': true,
          'icon-rotation-alignment': 'viewport',
        },
      },
    },
  ],
  key: [
    {
      label: 'key.parcel',
      shows: isKind('parcel'),
      swatch: { type: 'line', width: 1.3, dash: [14, 4, 2, 4, 2, 4], tone: 'soft' },
    },
    { label: 'key.outlet', shows: isKind('outlet'), swatch: { type: 'mark', mark: 'mark-outlet' } },
    { label: 'key.sprinkler', shows: isKind('sprinkler'), swatch: { type: 'mark', mark: 'mark-sprinkler' } },
  ],
};

function outlines({ kind, pointer, shape }: Material['outputs']['05-read-site']['features'][number]): DrawnFeature[] {
  const properties = { kind, pointer };
  if (shape.type === 'point') {
    return shape.points.map((coordinates) => ({
      type: 'Feature',
      properties,
      geometry: { type: 'Point', coordinates },
    }));
  }
  const coordinates =
    shape.type === 'line' ? shape.lines : shape.polygons.flat().map((ring): readonly LonLat[] => [...ring, ring[0]]);
  return [{ type: 'Feature', properties, geometry: { type: 'MultiLineString', coordinates } }];
}
