import type { SiteKind } from '#geo-core/model/site.ts';
import type { Pencil } from './draw-table.ts';

/** Something that can be drawn: its kind in the site, what it is drawn with, and what it is to begin with. */
export type Tool = {
  readonly kind: SiteKind;
  readonly label: string;
  readonly pencil: Exclude<Pencil, null>;
  readonly group: 'Ground' | 'In the way' | 'Fittings';
  readonly properties?: Readonly<Record<string, unknown>>;
  /** Properties a person may write, with their unit; sizes in metres (common practice for the first values, no source). */
  readonly fields?: readonly Field[];
};

type Field = { readonly name: string; readonly label: string; readonly unit: string };

const RADIUS: Field = { name: 'radius', label: 'Radius', unit: 'm' };
const HEIGHT: Field = { name: 'height', label: 'Height', unit: 'm' };

export const TOOLS: readonly Tool[] = [
  { kind: 'parcel', label: 'Parcel', pencil: 'area', group: 'Ground' },
  { kind: 'lawn', label: 'Lawn', pencil: 'area', group: 'Ground' },
  { kind: 'building', label: 'Building', pencil: 'area', group: 'Ground', fields: [HEIGHT] },
  { kind: 'paving', label: 'Paving', pencil: 'area', group: 'Ground' },
  { kind: 'planting', label: 'Planting', pencil: 'area', group: 'Ground' },
  { kind: 'water', label: 'Water', pencil: 'area', group: 'Ground' },
  { kind: 'road', label: 'Road', pencil: 'area', group: 'Ground' },
  { kind: 'tree', label: 'Tree', pencil: 'place', group: 'In the way', properties: { radius: 0.3 }, fields: [RADIUS] },
  {
    kind: 'obstacle',
    label: 'Obstacle',
    pencil: 'area',
    group: 'In the way',
    properties: { rigid: true },
    fields: [HEIGHT],
  },
  { kind: 'keep-out', label: 'Keep-out', pencil: 'area', group: 'In the way' },
  { kind: 'no-wire', label: 'No wire here', pencil: 'area', group: 'In the way' },
  { kind: 'crossing', label: 'Crossing', pencil: 'area', group: 'Fittings' },
  { kind: 'outlet', label: 'Mains outlet', pencil: 'place', group: 'Fittings' },
  {
    kind: 'sprinkler',
    label: 'Sprinkler',
    pencil: 'place',
    group: 'Fittings',
    properties: { radius: 5 },
    fields: [RADIUS],
  },
  {
    kind: 'station',
    label: 'Station',
    pencil: 'place',
    group: 'Fittings',
    fields: [{ name: 'heading', label: 'Heading', unit: '°' }],
  },
];

const HINTS: Readonly<Record<Tool['pencil'], string>> = {
  area: 'Click its corners one by one; click the first one again, or press Enter, to close it. Escape gives it up.',
  line: 'Click its points one by one; click the last one again, or press Enter, to end it. Escape gives it up.',
  place: 'Click where it stands.',
};

/** What to do with a pencil, in a sentence. */
export function hintFor(pencil: Tool['pencil']): string {
  return HINTS[pencil];
}

export function toolFor(kind: string): Tool | undefined {
  return TOOLS.find((tool) => tool.kind === kind);
}
