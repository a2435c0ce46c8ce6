import { counted } from '#geo-core/model/counted.ts';
import type { DrawnFeature } from '../drawing.ts';
import { SANS } from '../faces.ts';
import type { Material } from './material.ts';
import type { Sheet } from './sheet.ts';

/** At its step: where each check of the finished plan came nearest to its limit. */
export const auditPlan: Sheet = {
  stage: '75-audit-plan',
  title: 'Checked its own work',
  did: ({ outputs }) => {
    const { passed, checks } = outputs['75-audit-plan'];
    const failed = checks.filter((check) => !check.passed);
    return passed
      ? `${counted(checks.length, 'check')} by independent means, all held.`
      : `${failed.length} of ${counted(checks.length, 'check')} did not hold: ${failed.map(({ code }) => code).join(', ')}.`;
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
