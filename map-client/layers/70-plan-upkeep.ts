import type { DrawnProperties } from '../drawing.ts';
import { isKind, type Sheet } from './sheet.ts';

/** Grass that stays to be mown by hand: strips and corners in falling hatch, other ground crossed; visits of a simulated week in soft shades. */
export const planUpkeep: Sheet = {
  stage: '70-plan-upkeep',
  did: ({ outputs, plan, figures, say }) => {
    const { hoursPerWeek, schedule } = outputs['70-plan-upkeep'];
    const days = new Set(schedule.map(({ day }) => day)).size;
    const area = figures.area(plan.summary.handMowAreaM2);
    return say('did.upkeep', { hours: figures.hours(hoursPerWeek), days, area });
  },
  kinds: ['hand-mow'],
  draw: () => [],
  layers: (ink) => [
    {
      depth: 'wash',
      layer: {
        id: 'visit-shade',
        type: 'fill',
        filter: ['==', ['get', 'kind'], 'visit-band'],
        paint: { 'fill-color': ink.line, 'fill-opacity': 0.09, 'fill-antialias': false },
      },
    },
    {
      depth: 'hatch',
      layer: {
        id: 'hand-mow',
        type: 'fill',
        filter: ['==', ['get', 'kind'], 'hand-mow'],
        paint: {
          'fill-pattern': [
            'match',
            ['get', 'cause'],
            'corner',
            'fill-hand-mow-corner',
            ['narrow', 'isolated'],
            'fill-hand-mow-crossed',
            'fill-hand-mow',
          ],
        },
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
      label: 'key.handMowStrip',
      shows: (properties) => isKind('hand-mow')(properties) && !isHandMow('corner', 'narrow', 'isolated')(properties),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-hand-mow' },
    },
    {
      label: 'key.handMowCorner',
      shows: isHandMow('corner'),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-hand-mow-corner' },
    },
    {
      label: 'key.handMowOther',
      shows: isHandMow('narrow', 'isolated'),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-hand-mow-crossed' },
    },
    {
      label: 'key.visits',
      shows: isKind('visit-band'),
      swatch: { type: 'wash', wash: 'lawn', texture: 'fill-visits' },
    },
  ],
};

function isHandMow(...causes: readonly string[]): (properties: DrawnProperties) => boolean {
  return ({ kind, cause }) => kind === 'hand-mow' && causes.some((one) => one === cause);
}
