import type { FigureId, PlanRow } from './plan-rows.ts';

/** Which properties are looked at, and in which order. */
export type Choice = {
  readonly text: string;
  readonly state: PlanRow['state'] | 'all';
  /** The figure that colours the map, and its bounds where somebody set some. */
  readonly figure: FigureId;
  readonly from: number | null;
  readonly to: number | null;
  readonly sortBy: FigureId | 'name';
  readonly descending: boolean;
};

/** The rows that were chosen, in order. Where the figure is not known a row comes last, and no bound lets it in. */
export function chosenRows(rows: readonly PlanRow[], choice: Choice): PlanRow[] {
  const { text, state, figure, from, to, sortBy, descending } = choice;
  const wanted = text.trim().toLocaleLowerCase();
  const chosen = rows.filter(({ name, id, state: its, figures }) => {
    const value = figures[figure];
    return (
      (wanted === '' || name.toLocaleLowerCase().includes(wanted) || id.toLocaleLowerCase().includes(wanted)) &&
      (state === 'all' || its === state) &&
      (from === null || (value !== null && value >= from)) &&
      (to === null || (value !== null && value <= to))
    );
  });
  const way = descending ? -1 : 1;
  return chosen.toSorted((a, b) => {
    const byName = a.name.localeCompare(b.name) || a.id.localeCompare(b.id);
    if (sortBy === 'name') return way * byName;
    const [left, right] = [a.figures[sortBy], b.figures[sortBy]];
    if (left === null || right === null) return Number(left === null) - Number(right === null) || byName;
    return way * (left - right) || byName;
  });
}

/** What the chosen properties add up to; prices by currency, for they do not add up across. */
export type Totals = {
  readonly count: number;
  readonly planned: number;
  readonly refused: number;
  readonly lawnAreaM2: number;
  readonly routeLengthM: number;
  readonly handMowAreaM2: number;
  readonly prices: readonly { readonly currency: string; readonly amount: number }[];
};

export function totalsOf(rows: readonly PlanRow[]): Totals {
  const prices = new Map<string, number>();
  const sum = (id: FigureId): number => rows.reduce((all, { figures }) => all + (figures[id] ?? 0), 0);
  for (const { currency, figures } of rows) {
    if (figures.priceTotal !== null) prices.set(currency, (prices.get(currency) ?? 0) + figures.priceTotal);
  }
  return {
    count: rows.length,
    planned: rows.filter(({ state }) => state === 'planned').length,
    refused: rows.filter(({ state }) => state === 'refused').length,
    lawnAreaM2: sum('lawnAreaM2'),
    routeLengthM: sum('routeLengthM'),
    handMowAreaM2: sum('handMowAreaM2'),
    prices: [...prices].map(([currency, amount]) => ({ currency, amount })),
  };
}

const CLASSES = 5;

/** Where the classes of a figure part: as many properties in each, fewer classes where values repeat. Ascending, without the ends. */
export function classBreaks(rows: readonly PlanRow[], figure: FigureId): number[] {
  const values = rows.flatMap(({ figures }) => figures[figure] ?? []).toSorted((a, b) => a - b);
  if (values.length === 0) return [];
  const breaks = Array.from({ length: CLASSES - 1 }, (_, i) => values[Math.floor(((i + 1) * values.length) / CLASSES)]);
  return breaks.filter((value, i) => value > (i === 0 ? values[0] : breaks[i - 1]));
}

/** Class of a value, counted from 0. */
export function classOf(value: number, breaks: readonly number[]): number {
  const place = breaks.findIndex((limit) => value < limit);
  return place < 0 ? breaks.length : place;
}
