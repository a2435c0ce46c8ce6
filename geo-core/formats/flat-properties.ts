import type { PlanFeature } from '#geo-core/model/plan.ts';

/** A column of a table of plan features. Most tables know no lists: those are JSON text under their name with `Json` after it. */
type Column = { readonly name: string; readonly type: 'text' | 'number' };
export type FlatTable = {
  readonly columns: readonly Column[];
  /** One row a feature, in the order of `columns`; null where a feature has no such property. */
  readonly rows: readonly (readonly (string | number | null)[])[];
};

/** The properties of plan features as one table: `id` first, then every property in the order in which it first occurs. */
export function flatProperties(features: readonly PlanFeature[]): FlatTable {
  const types = new Map<string, Column['type']>([['id', 'text']]);
  const flat = features.map(({ id, properties }) => {
    const values = new Map<string, string | number>([['id', id]]);
    const add = (name: string, type: Column['type'], value: string | number): void => {
      types.set(name, type);
      values.set(name, value);
    };
    for (const [name, value] of Object.entries(properties)) {
      if (typeof value === 'number') add(name, 'number', value);
      else if (typeof value === 'string') add(name, 'text', value);
      else if (value !== null) add(`${name}Json`, 'text', JSON.stringify(value));
    }
    return values;
  });
  const columns = [...types].map(([name, type]) => ({ name, type }));
  return { columns, rows: flat.map((values) => columns.map(({ name }) => values.get(name) ?? null)) };
}
