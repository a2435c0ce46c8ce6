import type { Sheet } from './sheet.ts';

/** Quantities: nothing to draw, the margin lists them. */
export const takeOff: Sheet = {
  stage: '65-take-off',
  did: ({ outputs, figures, say }) => {
    const { lines, priceTotal, currency } = outputs['65-take-off'];
    return say('did.takeOff', { n: lines.length, price: figures.price(priceTotal, currency) });
  },
  kinds: [],
  draw: () => [],
  layers: () => [],
  key: [],
};
