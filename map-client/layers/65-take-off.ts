import { counted } from '#geo-core/model/counted.ts';
import type { Sheet } from './sheet.ts';

/** Quantities: nothing to draw, the margin lists them. */
export const takeOff: Sheet = {
  stage: '65-take-off',
  title: 'Took off the quantities',
  did: ({ outputs, figures }) => {
    const { lines, priceTotal, currency } = outputs['65-take-off'];
    return `${counted(lines.length, 'line')} of material and labour, ${figures.price(priceTotal, currency)} with tax.`;
  },
  kinds: [],
  draw: () => [],
  layers: () => [],
  key: [],
};
