import type { SiteKind } from '#geo-core/model/site.ts';
import type { WordKey } from '../wording/words.ts';
import type { Pencil } from './draw-table.ts';

/** Something that can be drawn: its kind in the site, what it is drawn with, and what it is to begin with. */
export type Tool = {
  readonly kind: SiteKind;
  readonly pencil: Exclude<Pencil, null>;
  readonly group: 'draw.ground' | 'draw.inTheWay' | 'draw.fittings';
  readonly properties?: Readonly<Record<string, unknown>>;
  /** Properties a person may write, with their unit; sizes in metres (common practice for the first values, no source). */
  readonly fields?: readonly Field[];
};

type Field = { readonly name: 'radius' | 'height' | 'heading'; readonly unit: 'm' | '°' };

const RADIUS: Field = { name: 'radius', unit: 'm' };
const HEIGHT: Field = { name: 'height', unit: 'm' };

export const TOOLS: readonly Tool[] = [
  { kind: 'parcel', pencil: 'area', group: 'draw.ground' },
  { kind: 'lawn', pencil: 'area', group: 'draw.ground' },
  { kind: 'building', pencil: 'area', group: 'draw.ground', fields: [HEIGHT] },
  { kind: 'paving', pencil: 'area', group: 'draw.ground' },
  { kind: 'planting', pencil: 'area', group: 'draw.ground' },
  { kind: 'water', pencil: 'area', group: 'draw.ground' },
  { kind: 'road', pencil: 'area', group: 'draw.ground' },
  { kind: 'tree', pencil: 'place', group: 'draw.inTheWay', properties: { radius: 0.3 }, fields: [RADIUS] },
  {
    kind: 'obstacle',
    pencil: 'area',
    group: 'draw.inTheWay',
    properties: { rigid: true },
    fields: [HEIGHT],
  },
  { kind: 'keep-out', pencil: 'area', group: 'draw.inTheWay' },
  { kind: 'no-wire', pencil: 'area', group: 'draw.inTheWay' },
  { kind: 'crossing', pencil: 'area', group: 'draw.fittings' },
  { kind: 'outlet', pencil: 'place', group: 'draw.fittings' },
  {
    kind: 'sprinkler',
    pencil: 'place',
    group: 'draw.fittings',
    properties: { radius: 5 },
    fields: [RADIUS],
  },
  {
    kind: 'station',
    pencil: 'place',
    group: 'draw.fittings',
    fields: [{ name: 'heading', unit: '°' }],
  },
];

const HINTS: Readonly<Record<Tool['pencil'], WordKey>> = {
  area: 'draw.hintArea',
  line: 'draw.hintLine',
  place: 'draw.hintPlace',
};

/** What to do with a pencil, in a sentence. */
export function hintFor(pencil: Tool['pencil']): WordKey {
  return HINTS[pencil];
}

export function toolFor(kind: string): Tool | undefined {
  return TOOLS.find((tool) => tool.kind === kind);
}
