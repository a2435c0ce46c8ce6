import { expect, it } from 'vitest';
import { counted } from '#geo-core/model/counted.ts';

it('counts in words', () => {
  expect(counted(0, 'loop')).toBe('no loops');
  expect(counted(1, 'loop')).toBe('1 loop');
  expect(counted(2, 'thing is', 'things are')).toBe('2 things are');
});
