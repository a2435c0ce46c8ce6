import { cell } from '#api/items/items-csv.ts';
import type { PortfolioOption, PortfolioRow } from '#api/store/portfolios.ts';
import { type FlatGeobufColumn, flatGeobufLayer } from '#geo-core/index.ts';
import { FIGURES } from './sum-up.ts';

export const ROWS_LIMIT = { minimum: 1, maximum: 10_000, default: 1_000 } as const;

type Value = string | number | boolean | null;
type Properties = Readonly<Record<string, Value>>;

/** The columns of the table: one row a site and rule set. Figures as in the summary of a plan, empty where there is none. */
const COLUMNS: readonly FlatGeobufColumn[] = [
  { name: 'number', type: 'number' },
  { name: 'site', type: 'text' },
  { name: 'name', type: 'text' },
  { name: 'rules', type: 'text' },
  { name: 'state', type: 'text' },
  { name: 'reason', type: 'text' },
  { name: 'stops', type: 'text' },
  { name: 'cautions', type: 'number' },
  { name: 'auditPassed', type: 'truth' },
  { name: 'machine', type: 'text' },
  { name: 'machinesAtLeast', type: 'number' },
  { name: 'againstMachine', type: 'text' },
  ...FIGURES.map((name) => ({ name, type: 'number' }) as const),
  { name: 'currency', type: 'text' },
  { name: 'priceBook', type: 'text' },
  { name: 'inputHash', type: 'text' },
];

/** What a row says, by column. */
function rowProperties(row: PortfolioRow, options: readonly PortfolioOption[]): Properties {
  const { figures } = row;
  const summary = figures?.summary;
  return {
    number: row.number,
    site: row.siteId ?? (figures?.ownId == null ? null : String(figures.ownId)),
    name: row.name,
    rules: figures?.rules ?? options[row.option].name,
    state: figures === null ? 'refused' : 'planned',
    reason: row.problem === null ? null : `${row.code}: ${row.problem}`,
    stops: figures?.stops.join(' ') ?? null,
    cautions: figures?.cautions ?? null,
    auditPassed: figures?.auditPassed ?? null,
    machine: figures?.machine?.verdict ?? null,
    machinesAtLeast: figures?.machine?.atLeast ?? null,
    againstMachine: figures?.machine?.reasons.join(' ') ?? null,
    ...Object.fromEntries(FIGURES.map((name): [string, Value] => [name, summary?.[name] ?? null])),
    currency: summary?.currency ?? null,
    priceBook: figures?.priceBook ?? null,
    inputHash: row.inputHash,
  };
}

export function rowFeature(row: PortfolioRow, options: readonly PortfolioOption[], plan: string | undefined) {
  return {
    type: 'Feature' as const,
    id: rowId(row),
    properties: rowProperties(row, options),
    geometry: row.at === null ? null : { type: 'Point' as const, coordinates: row.at },
    ...(plan !== undefined && {
      links: [{ rel: 'item', href: plan, type: 'application/geo+json', title: 'the plan' }],
    }),
  };
}

/** Number of the site, and of the rule set where there are several. */
export function rowId({ number, option }: Pick<PortfolioRow, 'number' | 'option'>): string {
  return option === 0 ? String(number) : `${number}.${option}`;
}

export const TABLE_HEAD = `${['id', ...COLUMNS.map(({ name }) => name), 'lon', 'lat'].join(',')}\r\n`;

/** A row as CSV (RFC 4180). */
export function csvRow(row: PortfolioRow, options: readonly PortfolioOption[]): string {
  const properties = rowProperties(row, options);
  const cells = [rowId(row), ...COLUMNS.map(({ name }) => properties[name]), row.at?.[0], row.at?.[1]];
  return `${cells.map(cell).join(',')}\r\n`;
}

/** Rows that have a place, as one FlatGeobuf layer of points. */
export function tableLayer(rows: readonly PortfolioRow[], options: readonly PortfolioOption[]): Uint8Array {
  const placed = rows.flatMap((row) =>
    row.at === null
      ? []
      : [{ geometry: { type: 'Point' as const, coordinates: row.at }, properties: rowProperties(row, options) }],
  );
  const said = placed.map(({ geometry, properties }) => ({
    geometry,
    properties: Object.fromEntries(Object.entries(properties).filter(([, value]) => value !== null)),
  }));
  return flatGeobufLayer(COLUMNS, said, 4326);
}
