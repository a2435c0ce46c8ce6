import { type Problem, ProblemList } from './problem.ts';
import {
  BUMP_HEIGHT_FIELD,
  CONDUCTOR_CLASSES,
  NUMBER_FIELDS,
  type NumberFieldName,
  OFFSET_FIELD,
  OFFSET_KEYS,
  RULE_SETS,
  type Rules,
  type RulesSpec,
} from './rules.ts';

export type ResolvedRules = { readonly rules: Rules } | { readonly problems: readonly Problem[] };

const NAME_MAX_CHARACTERS = 80;
const REFLEX_JOINS = ['round', 'mitre'] as const;
/** Rules that hold or do not. */
const CHOICES = ['excludeSteep', 'daylightOnly'] as const;
const NUMBER_NAMES = Object.keys(NUMBER_FIELDS);
const MEMBERS = [
  'base',
  'name',
  'offsetsM',
  'reflexJoin',
  'bumpHeightM',
  ...CHOICES,
  'conductorClass',
  ...NUMBER_NAMES,
];

/**
 * The numbers a site asks for: undefined = the set `default`, a name = that set, an object = `base` (default `default`) with
 * overrides, every one checked against its bounds. All problems at once, with pointers below `at`. Trusts nothing about `spec`,
 * it may come straight from JSON.
 */
export function resolveRules(spec: RulesSpec | unknown, at: readonly (string | number)[] = ['rules']): ResolvedRules {
  const list = new ProblemList();
  const rules =
    typeof spec === 'object' && spec !== null && !Array.isArray(spec)
      ? overridden(spec, at, list)
      : named(spec, at, list);
  return list.isEmpty ? { rules } : { problems: list.problems };
}

function named(name: unknown, at: readonly (string | number)[], list: ProblemList): Rules {
  const [standard] = RULE_SETS;
  const wanted = name === undefined ? standard : RULE_SETS.find((set) => set.name === name);
  if (wanted === undefined) {
    const known = RULE_SETS.map((set) => set.name).join(', ');
    list.add(at, `no rule set ${quoted(name)}; known are ${known}, or an object {"base": name, ...overrides}`);
  }
  const { about: _, ...rules } = wanted ?? standard;
  return rules;
}

function overridden(spec: object, at: readonly (string | number)[], list: ProblemList): Rules {
  const asked = new Map<string, unknown>(Object.entries(spec));
  const base = named(asked.get('base'), [...at, 'base'], list);
  const changed = [...asked.keys()].some((member) => member !== 'base');
  let rules: Rules = changed ? { ...base, name: `${base.name} with changes` } : base;
  for (const [member, value] of asked) {
    const here = [...at, member];
    if (member === 'base') continue;
    if (isNumberField(member)) {
      const { unit, min, max } = NUMBER_FIELDS[member];
      if (isWithin(value, min, max)) rules = { ...rules, [member]: value };
      else list.add(here, `${quoted(value)} is not a number from ${min} to ${max} ${unit}`);
    } else if (member === 'offsetsM') rules = { ...rules, offsetsM: offsets(value, base.offsetsM, here, list) };
    else if (member === 'name') {
      if (typeof value === 'string' && value.length <= NAME_MAX_CHARACTERS) rules = { ...rules, name: value };
      else list.add(here, `a name is text of at most ${NAME_MAX_CHARACTERS} characters`);
    } else if (member === 'reflexJoin') {
      const join = REFLEX_JOINS.find((known) => known === value);
      if (join !== undefined) rules = { ...rules, reflexJoin: join };
      else list.add(here, `${quoted(value)} is not one of ${REFLEX_JOINS.join(', ')}`);
    } else if (member === 'bumpHeightM') {
      if (value === null || isWithin(value, BUMP_HEIGHT_FIELD.min, BUMP_HEIGHT_FIELD.max))
        rules = { ...rules, bumpHeightM: value };
      else
        list.add(
          here,
          `${quoted(value)} is neither null nor a number from ${BUMP_HEIGHT_FIELD.min} to ${BUMP_HEIGHT_FIELD.max} m`,
        );
    } else if (isChoice(member)) {
      if (typeof value === 'boolean') rules = { ...rules, [member]: value };
      else list.add(here, `${quoted(value)} is neither true nor false`);
    } else if (member === 'conductorClass') {
      const grade = CONDUCTOR_CLASSES.find((known) => known === value);
      if (grade !== undefined) rules = { ...rules, conductorClass: grade };
      else list.add(here, `${quoted(value)} is not one of the conductor classes ${CONDUCTOR_CLASSES.join(', ')}`);
    } else list.add(here, `no such rule; known are ${MEMBERS.join(', ')}`);
  }
  if (rules.driveWidthM > rules.mowWidthM) {
    list.add(
      [...at, asked.has('driveWidthM') ? 'driveWidthM' : 'mowWidthM'],
      `driveWidthM ${rules.driveWidthM} m is more than mowWidthM ${rules.mowWidthM} m: where it mows it must be able to drive`,
    );
  }
  return rules;
}

function isChoice(member: string): member is (typeof CHOICES)[number] {
  return CHOICES.some((name) => name === member);
}

function offsets(
  asked: unknown,
  base: Rules['offsetsM'],
  at: readonly (string | number)[],
  list: ProblemList,
): Rules['offsetsM'] {
  if (typeof asked !== 'object' || asked === null || Array.isArray(asked)) {
    list.add(at, `${quoted(asked)} is not an object of distances by what lies beyond`);
    return base;
  }
  let offsetsM = base;
  for (const [key, value] of Object.entries(asked)) {
    const known = OFFSET_KEYS.find((name) => name === key);
    if (known === undefined)
      list.add([...at, key], `nothing of that name lies beyond an edge; known are ${OFFSET_KEYS.join(', ')}`);
    else if (isWithin(value, OFFSET_FIELD.min, OFFSET_FIELD.max)) offsetsM = { ...offsetsM, [known]: value };
    else list.add([...at, key], `${quoted(value)} is not a number from ${OFFSET_FIELD.min} to ${OFFSET_FIELD.max} m`);
  }
  return offsetsM;
}

function isNumberField(member: string): member is NumberFieldName {
  return Object.hasOwn(NUMBER_FIELDS, member);
}

function isWithin(value: unknown, min: number, max: number): value is number {
  return typeof value === 'number' && value >= min && value <= max;
}

function quoted(value: unknown): string {
  const text =
    typeof value === 'object' && value !== null
      ? Array.isArray(value)
        ? 'a list'
        : 'an object'
      : JSON.stringify(value);
  return text === undefined ? 'undefined' : text.length > 40 ? `${text.slice(0, 40)}…` : text;
}
