import { askService } from '../kept/ask-service.ts';

/** One property of the portfolio: its plan in figures. */
export type PlanRow = {
  readonly id: string;
  readonly name: string;
  readonly state: 'queued' | 'planned' | 'refused';
  /** Why there is no plan. */
  readonly problem: string | null;
  readonly currency: string;
  /** By id of the figure; null where it is not known. */
  readonly figures: Readonly<Record<FigureId, number | null>>;
  readonly middle: readonly [lonDeg: number, latDeg: number];
};

export const FIGURE_IDS = [
  'routeLengthM',
  'lawnAreaM2',
  'handMowAreaM2',
  'hoursPerWeek',
  'priceTotal',
  'zoneCount',
  'maxSlopePct',
  'stops',
  'cautions',
  'pegCount',
] as const;
export type FigureId = (typeof FIGURE_IDS)[number];

type Nested = readonly [number, number] | readonly Nested[];
type Item = {
  readonly id: string;
  readonly geometry: { readonly coordinates: Nested };
  readonly properties: Readonly<Record<string, unknown>>;
};

const PAGE = 2_000;
/** More would not be a table any more; the service's CSV has them all. */
export const ROWS_MAX = 20_000;

/** Reads the plans of all properties, page by page; `told` hears how many there are so far. */
export async function loadPlanRows(told: (count: number) => void): Promise<PlanRow[]> {
  const rows: PlanRow[] = [];
  let after = '';
  while (rows.length < ROWS_MAX) {
    const answer = await askService(`collections/plans/items?f=json&limit=${PAGE}${after}`);
    const { features }: { features: readonly Item[] } = await answer.json();
    rows.push(...features.map(rowOf));
    told(rows.length);
    if (features.length < PAGE) break;
    after = `&after=${encodeURIComponent(features[features.length - 1].id)}`;
  }
  return rows;
}

function rowOf({ id, geometry, properties }: Item): PlanRow {
  const { name, state, problem, currency } = properties;
  return {
    id,
    name: typeof name === 'string' && name !== '' ? name : id,
    state: state === 'planned' || state === 'refused' ? state : 'queued',
    problem: typeof problem === 'string' ? problem : null,
    currency: typeof currency === 'string' ? currency : '',
    figures: figuresOf(properties),
    middle: middleOf(geometry.coordinates),
  };
}

function figuresOf(properties: Readonly<Record<string, unknown>>): PlanRow['figures'] {
  const entries = FIGURE_IDS.map((id) => {
    const value = properties[id];
    return [id, typeof value === 'number' ? value : null] as const;
  });
  return Object.fromEntries(entries) as PlanRow['figures'];
}

function middleOf(coordinates: Nested): readonly [number, number] {
  let [west, south, east, north] = [180, 90, -180, -90];
  const reach = (part: Nested): void => {
    const [first, second] = part;
    if (typeof first === 'number' && typeof second === 'number') {
      [west, east] = [Math.min(west, first), Math.max(east, first)];
      [south, north] = [Math.min(south, second), Math.max(north, second)];
    } else for (const inner of part) if (typeof inner !== 'number') reach(inner);
  };
  reach(coordinates);
  return [(west + east) / 2, (south + north) / 2];
}
