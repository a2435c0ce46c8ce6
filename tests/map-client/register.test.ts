import { describe, expect, it } from 'vitest';
import type { FigureId, PlanRow } from '#map-client/portfolio/plan-rows.ts';
import { type Choice, chosenRows, classBreaks, classOf, totalsOf } from '#map-client/portfolio/register.ts';

const row = (name: string, wireM: number | null, more: Partial<PlanRow> = {}): PlanRow => ({
  id: name.toLowerCase(),
  name,
  state: 'planned',
  problem: null,
  currency: 'EUR',
  middle: [10, 52],
  ...more,
  figures: {
    routeLengthM: wireM,
    lawnAreaM2: 100,
    handMowAreaM2: 1,
    hoursPerWeek: 2,
    priceTotal: wireM,
    zoneCount: 1,
    maxSlopePct: null,
    stops: 0,
    cautions: 0,
    pegCount: 3,
  },
});
const ROWS = [
  row('Birch', 120),
  row('Ash', 80),
  row('Cedar', null, { state: 'refused' }),
  row('Elm', 200, { currency: 'CHF' }),
];
const ALL: Choice = {
  text: '',
  state: 'all',
  figure: 'routeLengthM',
  from: null,
  to: null,
  sortBy: 'name',
  descending: false,
};
const names = (change: Partial<Choice>) => chosenRows(ROWS, { ...ALL, ...change }).map(({ name }) => name);

describe('the register', () => {
  it('sorts by name and by figure, both ways, what is not known last', () => {
    expect(names({})).toEqual(['Ash', 'Birch', 'Cedar', 'Elm']);
    expect(names({ descending: true })).toEqual(['Elm', 'Cedar', 'Birch', 'Ash']);
    expect(names({ sortBy: 'routeLengthM' })).toEqual(['Ash', 'Birch', 'Elm', 'Cedar']);
    expect(names({ sortBy: 'routeLengthM', descending: true })).toEqual(['Elm', 'Birch', 'Ash', 'Cedar']);
  });

  it('finds by name, state and bounds of a figure, ends included', () => {
    expect(names({ text: ' AS' })).toEqual(['Ash']);
    expect(names({ state: 'refused' })).toEqual(['Cedar']);
    expect(names({ from: 80, to: 120 })).toEqual(['Ash', 'Birch']);
    expect(names({ from: 121 })).toEqual(['Elm']);
  });

  it('adds prices up by currency', () => {
    expect(totalsOf(ROWS)).toEqual({
      count: 4,
      planned: 3,
      refused: 1,
      lawnAreaM2: 400,
      routeLengthM: 400,
      handMowAreaM2: 4,
      prices: [
        { currency: 'EUR', amount: 200 },
        { currency: 'CHF', amount: 200 },
      ],
    });
  });

  it('parts a figure into classes with as many gardens in each', () => {
    const hundred = Array.from({ length: 100 }, (_, i) => row(`G${i}`, i));
    const breaks = classBreaks(hundred, 'routeLengthM');
    expect(breaks).toEqual([20, 40, 60, 80]);
    const counts = [0, 0, 0, 0, 0];
    for (const { figures } of hundred) counts[classOf(figures.routeLengthM ?? 0, breaks)]++;
    expect(counts).toEqual([20, 20, 20, 20, 20]);
  });

  it.each<[FigureId, number[]]>([
    ['zoneCount', []],
    ['maxSlopePct', []],
  ])('has one class where %s is the same everywhere or not known', (figure, breaks) => {
    expect(classBreaks(ROWS, figure)).toEqual(breaks);
  });
});
