import { isKind, type Sheet } from './sheet.ts';

/** Grass that stays to be mown by hand, in wide hatch. */
export const planUpkeep: Sheet = {
  stage: '70-plan-upkeep',
  title: 'Planned the mowing',
  did: ({ outputs, plan, figures }) => {
    const { hoursPerWeek, schedule } = outputs['70-plan-upkeep'];
    const days = new Set(schedule.map(({ day }) => day)).size;
    return `${figures.hours(hoursPerWeek)} of mowing a week${days === 0 ? '' : ` on ${days} ${days === 1 ? 'day' : 'days'}`}; ${figures.area(plan.summary.handMowAreaM2)} left to mow by hand.`;
  },
  kinds: ['hand-mow'],
  draw: () => [],
  layers: (ink) => [
    {
      depth: 'hatch',
      layer: {
        id: 'hand-mow',
        type: 'fill',
        filter: ['==', ['get', 'kind'], 'hand-mow'],
        paint: { 'fill-pattern': 'fill-hand-mow' },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'hand-mow-limit',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'hand-mow'],
        paint: { 'line-color': ink.faint, 'line-width': 0.6 },
      },
    },
  ],
  key: [
    {
      label: 'Mown by hand',
      shows: isKind('hand-mow'),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-hand-mow' },
    },
  ],
};
