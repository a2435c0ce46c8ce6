import { isKind, type Sheet } from './sheet.ts';

/** Ground the machine stays off, cross-hatched: loops of their own, and bays that the boundary wire goes around. */
export const loopKeepOuts: Sheet = {
  stage: '35-loop-keep-outs',
  did: ({ outputs, say }) => {
    const { loops, bays, bumped } = outputs['35-loop-keep-outs'];
    const own = loops.filter(({ kind }) => kind === 'keep-out').length;
    const told = say('did.loops', { loops: own, bays: bays.length });
    return bumped.length === 0 ? told : `${told} ${say('did.bumps', { n: bumped.length })}`;
  },
  kinds: ['working-area', 'boundary-loop', 'keep-out-loop', 'bay'],
  draw: () => [],
  layers: (ink) => [
    {
      depth: 'hatch',
      layer: {
        id: 'kept-out',
        type: 'fill',
        filter: ['in', ['get', 'kind'], ['literal', ['keep-out-loop', 'bay']]],
        paint: { 'fill-pattern': ['concat', 'fill-', ['get', 'kind']] },
      },
    },
    {
      depth: 'line',
      layer: {
        id: 'loop-line',
        type: 'line',
        filter: ['in', ['get', 'kind'], ['literal', ['boundary-loop', 'keep-out-loop']]],
        layout: { 'line-join': 'round' },
        paint: { 'line-color': ink.line, 'line-width': 1.2 },
      },
    },
  ],
  key: [
    {
      label: 'key.keepOutLoop',
      shows: isKind('keep-out-loop'),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-keep-out-loop', outline: 3 },
    },
    { label: 'key.bay', shows: isKind('bay'), swatch: { type: 'wash', wash: 'lawn', texture: 'fill-bay' } },
  ],
};
