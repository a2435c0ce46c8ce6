import { counted } from '#geo-core/model/counted.ts';
import type { Sheet } from './sheet.ts';

/** The finished plan: everything that is on the other sheets. */
export const unprojectPlan: Sheet = {
  stage: '80-unproject-plan',
  title: 'Drew the finished plan',
  did: ({ plan }) =>
    plan.features.length === 0
      ? 'Nothing could be planned: the findings say why.'
      : `${counted(plan.features.length, 'feature')} of plain GeoJSON, ready for any map.`,
  kinds: [],
  draw: () => [],
  layers: () => [],
  key: [],
};
