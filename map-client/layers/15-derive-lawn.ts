import { isKind, type Sheet } from './sheet.ts';

/** The grass: a green wash with tufts, a thin edge, declared crossings in bond with long-dash sides. */
export const deriveLawn: Sheet = {
  stage: '15-derive-lawn',
  did: ({ outputs, figures, say }) => {
    const { areaM2, derived, lawn, keepOuts, crossings } = outputs['15-derive-lawn'];
    return say(derived ? 'did.lawnDerived' : 'did.lawnDrawn', {
      area: figures.area(areaM2),
      pieces: lawn.length,
      keepOuts: keepOuts.length,
      crossings: crossings.length,
    });
  },
  kinds: [],
  draw: ({ outputs, pen }) => {
    const { lawn, crossings } = outputs['15-derive-lawn'];
    return [
      ...lawn.map((polygon) => pen.areas([polygon], { kind: 'lawn' })),
      ...crossings.map((polygon) => pen.areas([polygon], { kind: 'crossing' })),
    ];
  },
  layers: (ink) => [
    {
      depth: 'wash',
      layer: {
        id: 'lawn-wash',
        type: 'fill',
        paint: { 'fill-color': ['match', ['get', 'kind'], 'crossing', ink.paving, ink.lawn] },
      },
    },
    {
      depth: 'hatch',
      layer: { id: 'lawn-texture', type: 'fill', paint: { 'fill-pattern': ['concat', 'fill-', ['get', 'kind']] } },
    },
    {
      depth: 'mark',
      layer: {
        id: 'lawn-edge',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'lawn'],
        layout: { 'line-join': 'round' },
        paint: { 'line-color': ink.soft, 'line-width': 1 },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'lawn-crossing',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'crossing'],
        paint: { 'line-color': ink.soft, 'line-width': 1, 'line-dasharray': [6, 3] },
      },
    },
  ],
  key: [
    { label: 'key.lawn', shows: isKind('lawn'), swatch: { type: 'wash', wash: 'lawn', texture: 'fill-lawn' } },
    {
      label: 'key.crossing',
      shows: isKind('crossing'),
      swatch: { type: 'wash', wash: 'paving', texture: 'fill-crossing' },
    },
  ],
};
