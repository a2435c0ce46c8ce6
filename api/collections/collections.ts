import { PLAN_KINDS, type PlanKind } from '#geo-core/model/plan.ts';
import { BEYONDS, SITE_KINDS } from '#geo-core/model/site.ts';

type GeometryFamily = 'point' | 'line' | 'polygon';

/** One property of a collection's features. */
export type Field = {
  readonly type: 'string' | 'number' | 'integer' | 'boolean' | 'array';
  readonly title: string;
  /** UCUM, where it is a measure. */
  readonly unit?: string;
  readonly format?: 'date-time';
  readonly oneOf?: readonly string[];
  /** Of a list: what its members are. */
  readonly items?: 'string' | 'number';
  /** Set by the service: what a client sends is passed over. */
  readonly readOnly?: true;
};

export type Collection = {
  readonly id: string;
  readonly title: string;
  readonly description: string;
  readonly family: GeometryFamily;
  /** What people give, or what the planner makes of it. */
  readonly origin: 'site' | 'plan';
  readonly writable: boolean;
  readonly fields: Readonly<Record<string, Field>>;
};

const text = (title: string, more: Partial<Field> = {}): Field => ({ type: 'string', title, ...more });
const number = (title: string, unit: string): Field => ({ type: 'number', title, unit });
const whole = (title: string): Field => ({ type: 'integer', title });
const yes = (title: string): Field => ({ type: 'boolean', title });
const list = (title: string, items: 'string' | 'number'): Field => ({ type: 'array', title, items });
const set = (field: Field): Field => ({ ...field, readOnly: true });

const SITE_FIELDS = {
  name: text('name of the property'),
  units: text('units of figures shown to people', { oneOf: ['metric', 'us'] }),
  locale: text('language tag'),
  rules: text('name of a rule set, or an inline one as JSON'),
  featureCount: set(whole('how many features the site is given by')),
  version: set(whole('how often it was written')),
  created: set(text('when it was first written', { format: 'date-time' })),
  updated: set(text('when it was last written', { format: 'date-time' })),
};

/** What a feature of a site says; anything else it says is kept too. */
const GIVEN_FIELDS = {
  site: text('id of the site'),
  kind: text('what it is', { oneOf: SITE_KINDS }),
  name: text('name'),
  height: number('height', 'm'),
  rigid: yes('stands a gentle bump'),
  radius: number('radius of a tree, obstacle or sprinkler given as a point', 'm'),
  width: number('width of a road or crossing given as a line', 'm'),
  beyond: text('what lies beyond an edge', { oneOf: BEYONDS }),
  heading: number('heading of a fixed station, clockwise from north', 'deg'),
  updated: set(text('when it was last written', { format: 'date-time' })),
};

const PLAN_FIELDS = {
  site: text('id of the site'),
  name: text('name of the property'),
  state: text('queued: the plan below is of an older site', { oneOf: ['queued', 'planned', 'refused'] }),
  version: whole('version of the plan'),
  inputHash: text('SHA-256 of what it was planned from'),
  planned: text('when it was planned', { format: 'date-time' }),
  auditPassed: yes('the proof of the plan holds'),
  stops: whole('findings that say stop'),
  cautions: whole('findings that say caution'),
  lawnAreaM2: number('lawn', 'm2'),
  workingAreaM2: number('working area', 'm2'),
  routeLengthM: number('route', 'm'),
  boundaryLengthM: number('boundary wire', 'm'),
  keepOutLengthM: number('keep-out loops', 'm'),
  leadLengthM: number('leads, counted once', 'm'),
  zoneCount: whole('zones'),
  handMowAreaM2: number('ground for the hand mower', 'm2'),
  maxSlopePct: number('steepest ground', '%'),
  resistanceOhm: number('loop resistance', 'Ohm'),
  hoursPerWeek: number('mowing a week', 'h'),
  pegCount: whole('pegs'),
  spliceCount: whole('splices'),
  spoolCount: whole('spools'),
  priceTotal: { type: 'number', title: 'price' },
  currency: text('currency of the price (ISO 4217)'),
  problem: text('why there is no plan'),
} as const satisfies Readonly<Record<string, Field>>;

const FINDING_FIELDS = {
  site: text('id of the site'),
  code: text('<stage>.<reason>'),
  severity: text('severity', { oneOf: ['stop', 'caution', 'note'] }),
  message: text('what and where'),
  advice: text('what to do about it'),
  value: { type: 'number', title: 'figure' },
  limit: { type: 'number', title: 'limit' },
  unit: text('unit of figure and limit'),
  subject: text('JSON Pointer into the site, or id of a plan feature'),
} as const satisfies Readonly<Record<string, Field>>;

const AREA = { areaM2: number('area', 'm2'), perimeterM: number('length of all its rings', 'm') };
const LENGTH = { lengthM: number('length', 'm') };
const ON_ROUTE = {
  chainageM: number('metres along the route from the station', 'm'),
  signalUnit: whole('signal unit'),
};
const AROUND = { around: list('JSON Pointers of the site features it goes around', 'string') };
const CONNECTS = { connects: list('ids of what it joins', 'string') };
const SLOPE = { slopePct: number('slope', '%') };

type PlanCollection = {
  readonly about: string;
  readonly family: GeometryFamily;
  readonly fields: Collection['fields'];
};

const BY_KIND: Readonly<Record<PlanKind, PlanCollection>> = {
  'working-area': { about: 'Where the machine may go', family: 'polygon', fields: AREA },
  route: {
    about: 'The one closed wire in laying order, a signal unit each',
    family: 'line',
    fields: {
      ...LENGTH,
      chainageM: list('metres along the route, one for each vertex', 'number'),
      signalUnit: whole('signal unit'),
      resistanceOhm: number('loop resistance at 20 degrees', 'Ohm'),
    },
  },
  'boundary-loop': { about: 'The boundary wire as a ring', family: 'polygon', fields: AREA },
  'keep-out-loop': { about: 'Wire around a keep-out', family: 'polygon', fields: { ...AREA, ...AROUND } },
  bay: { about: 'A keep-out that the boundary wire goes around', family: 'polygon', fields: { ...AREA, ...AROUND } },
  lead: { about: 'Two wires side by side that join loops', family: 'line', fields: { ...LENGTH, ...CONNECTS } },
  zone: {
    about: 'Ground wide enough to mow throughout',
    family: 'polygon',
    fields: {
      connectivity: text('how the machine gets there', { oneOf: ['reachable', 'narrow-passage', 'isolated'] }),
      widestRadiusM: number('radius of the widest circle inside', 'm'),
      sharePct: number('share of the working area', '%'),
      ...AREA,
    },
  },
  passage: {
    about: 'The way between two zones',
    family: 'line',
    fields: { widthM: number('clear width', 'm'), ...LENGTH, ...CONNECTS },
  },
  station: {
    about: 'Charging stations',
    family: 'point',
    fields: {
      headingDeg: number('clockwise from north', 'deg'),
      ...ON_ROUTE,
      role: text('role', { oneOf: ['charging', 'signal-only'] }),
      ...SLOPE,
    },
  },
  'station-candidate': {
    about: 'Places where a station could stand, ranked',
    family: 'point',
    fields: {
      rank: whole('rank, 1 the best'),
      headingDeg: number('clockwise from north', 'deg'),
      reasons: list('what speaks for and against it', 'string'),
      straightM: number('straight wire before it', 'm'),
      cableM: number('supply cable', 'm'),
      ...SLOPE,
    },
  },
  'supply-cable': { about: 'Low-voltage cables from outlet to station', family: 'line', fields: LENGTH },
  peg: {
    about: 'Pegs by chainage',
    family: 'point',
    fields: { ...ON_ROUTE, pass: text('lap in which it is driven', { oneOf: ['trial', 'final'] }) },
  },
  splice: { about: 'Splices by chainage', family: 'point', fields: { ...ON_ROUTE, reason: text('why') } },
  'hand-mow': {
    about: 'Grass that the machine cannot reach',
    family: 'polygon',
    fields: { cause: text('why it stays'), ...AREA },
  },
  steep: { about: 'Ground steeper than the rule set allows', family: 'polygon', fields: AREA },
  'weak-signal': { about: 'Ground too far from any wire', family: 'polygon', fields: AREA },
};

/** What every planned feature says beside its own figures. */
const PLANNED_FIELDS = { site: text('id of the site'), plan: whole('version of the plan') };

const GIVEN = [
  { id: 'site-areas', family: 'polygon', title: 'Areas of sites' },
  { id: 'site-lines', family: 'line', title: 'Lines of sites' },
  { id: 'site-points', family: 'point', title: 'Points of sites' },
] as const;

/** Everything that is published as features, one entry each. */
export const COLLECTIONS: readonly Collection[] = [
  {
    id: 'sites',
    title: 'Sites',
    description:
      'Properties as given; posting a whole site (a FeatureCollection) or writing to its features plans it again.',
    family: 'polygon',
    origin: 'site',
    writable: true,
    fields: SITE_FIELDS,
  },
  ...GIVEN.map(({ id, family, title }) => ({
    id,
    title,
    description: `What is there, as given: every ${family} says what it is by its kind and which site it belongs to.`,
    family,
    origin: 'site' as const,
    writable: true,
    fields: GIVEN_FIELDS,
  })),
  {
    id: 'plans',
    title: 'Plans',
    description: 'The present plan of every site with its figures. Plans follow from sites and cannot be written.',
    family: 'polygon',
    origin: 'plan',
    writable: false,
    fields: PLAN_FIELDS,
  },
  ...PLAN_KINDS.map((kind) => ({
    id: kind,
    title: BY_KIND[kind].about,
    description: `${BY_KIND[kind].about}: ${kind} features of all present plans.`,
    family: BY_KIND[kind].family,
    origin: 'plan' as const,
    writable: false,
    fields: { ...PLANNED_FIELDS, ...BY_KIND[kind].fields },
  })),
  {
    id: 'findings',
    title: 'Findings',
    description: 'What the planner noticed, at its place; findings about a whole site lie at its middle.',
    family: 'point',
    origin: 'plan',
    writable: false,
    fields: FINDING_FIELDS,
  },
];

const BY_ID = new Map(COLLECTIONS.map((collection) => [collection.id, collection]));

export function collectionById(id: string): Collection | undefined {
  return BY_ID.get(id);
}
