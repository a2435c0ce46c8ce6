import { lineLengthM } from '#geo-core/index.ts';
import { isKind, type Sheet } from './sheet.ts';

/** At its step: wire on ground too steep for it, heavier where the ground falls outward over it. */
export const checkSlope: Sheet = {
  stage: '52-check-slope',
  did: ({ outputs, plan, figures, say }) => {
    const check = outputs['52-check-slope'];
    if (check === undefined) return say('did.noSlope');
    const totalM = (outward: boolean) =>
      check.steepWire.reduce((sum, each) => (each.outward === outward ? sum + lineLengthM(each.line) : sum), 0);
    const limit = figures.percent(plan.rules.slopeAtWireMaxPct);
    const [downM, otherM] = [totalM(true), totalM(false)];
    const wire =
      downM + otherM === 0
        ? say('did.wireLevel', { limit })
        : say('did.wireSteep', { down: figures.length(downM), limit, other: figures.length(otherM) });
    const groundM = check.groundLengthM[0];
    return groundM === undefined ? wire : `${wire} ${say('did.onGround', { length: figures.length(groundM) })}`;
  },
  kinds: [],
  draw: ({ outputs, pen }) =>
    (outputs['52-check-slope']?.steepWire ?? []).map(({ line, outward }) =>
      pen.line(line, { kind: outward ? 'wire-downhill' : 'wire-on-slope' }),
    ),
  layers: (ink) => [
    {
      depth: 'line',
      onlyAtItsStep: true,
      layer: {
        id: 'wire-on-slope',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'wire-on-slope'],
        paint: { 'line-color': ink.soft, 'line-width': 5, 'line-dasharray': [0.5, 0.5] },
      },
    },
    {
      depth: 'line',
      onlyAtItsStep: true,
      layer: {
        id: 'wire-downhill',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'wire-downhill'],
        paint: { 'line-color': ink.line, 'line-width': 7, 'line-dasharray': [0.3, 0.3] },
      },
    },
  ],
  key: [
    {
      label: 'key.wireDownhill',
      shows: isKind('wire-downhill'),
      swatch: { type: 'line', width: 7, dash: [2, 2], tone: 'line' },
    },
    {
      label: 'key.wireOnSlope',
      shows: isKind('wire-on-slope'),
      swatch: { type: 'line', width: 5, dash: [2.5, 2.5], tone: 'soft' },
    },
  ],
};
