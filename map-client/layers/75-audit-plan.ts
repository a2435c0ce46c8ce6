import type { DrawnFeature } from '../drawing.ts';
import { SANS } from '../faces.ts';
import type { Material } from './material.ts';
import type { Sheet } from './sheet.ts';

/** At its step: where each check of the finished plan came nearest to its limit. */
export const auditPlan: Sheet = {
  stage: '75-audit-plan',
  did: ({ outputs, say }) => {
    const { passed, checks } = outputs['75-audit-plan'];
    if (passed) return say('did.auditHeld', { n: checks.length });
    const failed = checks.filter((check) => !check.passed);
    const codes = failed.map(({ code }) => code).join(', ');
    return say('did.auditFailed', { failed: failed.length, n: checks.length, codes });
  },
  kinds: [],
  draw: ({ outputs, pen }: Material): DrawnFeature[] =>
    outputs['75-audit-plan'].checks.flatMap(({ at, code, passed }) =>
      at === undefined ? [] : [pen.point(at, { kind: 'check', label: code.replaceAll('-', ' '), passed })],
    ),
  layers: (ink) => [
    {
      depth: 'note',
      onlyAtItsStep: true,
      layer: {
        id: 'check',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'check'],
        layout: {
          'icon-image': ['case', ['get', 'passed'], 'mark-check', 'mark-fault'],
          'icon-allow-overlap': true,
          'text-field': ['get', 'label'],
          'text-font': [SANS],
          'text-size': 12,
          'text-variable-anchor': ['left', 'right', 'top', 'bottom'],
          'text-radial-offset': 1,
          'text-optional': true,
        },
        paint: { 'text-color': ink.line, 'text-halo-color': ink.paper, 'text-halo-width': 1.5 },
      },
    },
  ],
  key: [],
};
