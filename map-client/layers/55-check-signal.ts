import { fieldBands } from '#geo-core/index.ts';
import { isKind, type Sheet } from './sheet.ts';

/** Ground too far from every wire or with a faint field; at its step the field in soft shades, and the weakest spot. */
export const checkSignal: Sheet = {
  stage: '55-check-signal',
  did: ({ outputs, plan, figures, say }) => {
    const { weak, weakest } = outputs['55-check-signal'];
    const ohm = plan.summary.resistanceOhm;
    const reach = figures.length(plan.rules.signalRangeM);
    return [
      ...(ohm === null ? [] : [say('did.resistance', { ohm: figures.ohm(ohm) })]),
      ...(weakest === undefined ? [] : [say('did.weakest', { field: figures.count(weakest.fieldNt) })]),
      say(weak.length === 0 ? 'did.inReach' : 'did.outOfReach', { reach }),
    ].join(' ');
  },
  kinds: ['weak-signal'],
  draw: ({ outputs, plan, pen }) => {
    const { weakest } = outputs['55-check-signal'];
    const lines = outputs['50-join-route'].routes.map(({ line }) => line);
    const { gridM } = outputs['10-project-site'];
    const bands = fieldBands(lines, outputs['15-derive-lawn'].lawn, plan.rules, gridM);
    return [
      ...bands.map(({ fromNt, polygons }) => pen.areas(polygons, { kind: 'field-band', fromNt })),
      ...(weakest === undefined ? [] : [pen.point(weakest.at, { kind: 'weakest' })]),
    ];
  },
  layers: (ink) => [
    {
      depth: 'hatch',
      onlyAtItsStep: true,
      layer: {
        id: 'field-shade',
        type: 'fill',
        filter: ['==', ['get', 'kind'], 'field-band'],
        paint: { 'fill-color': ink.line, 'fill-opacity': 0.085, 'fill-antialias': false },
      },
    },
    {
      depth: 'hatch',
      onlyAtItsStep: true,
      layer: {
        id: 'field-contour',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'field-band'],
        paint: { 'line-color': ink.soft, 'line-width': 0.5 },
      },
    },
    {
      depth: 'hatch',
      layer: {
        id: 'weak-signal',
        type: 'fill',
        filter: ['==', ['get', 'kind'], 'weak-signal'],
        paint: { 'fill-pattern': 'fill-weak-signal' },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'weak-limit',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'weak-signal'],
        paint: { 'line-color': ink.soft, 'line-width': 1, 'line-dasharray': [2, 3] },
      },
    },
    {
      depth: 'symbol',
      onlyAtItsStep: true,
      layer: {
        id: 'weakest',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'weakest'],
        layout: { 'icon-image': 'mark-weakest', 'icon-allow-overlap': true },
      },
    },
  ],
  key: [
    {
      label: 'key.field',
      onlyAtItsStep: true,
      shows: isKind('field-band'),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-visits' },
    },
    {
      label: 'key.weak',
      shows: isKind('weak-signal'),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-weak-signal' },
    },
  ],
};
