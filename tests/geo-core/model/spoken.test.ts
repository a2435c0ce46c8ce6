import { expect, it } from 'vitest';
import { spoken } from '#geo-core/model/spoken.ts';

it.each([
  ['zone-1', 'zone 1'],
  ['keep-out-loop-3', 'keep-out loop 3'],
  ['boundary-2', 'boundary loop 2'],
  ['lead-10', 'lead 10'],
])('says %s as %s', (id, words) => {
  expect(spoken(id)).toBe(words);
});
