import { describe, expect, it } from 'vitest';
import { resolveRules } from '#geo-core/model/resolve-rules.ts';
import { NUMBER_FIELDS, OFFSET_KEYS, RULE_SETS, type Rules } from '#geo-core/model/rules.ts';

function rulesOf(spec: unknown): Rules {
  const resolved = resolveRules(spec);
  if ('problems' in resolved) throw new Error(JSON.stringify(resolved.problems));
  return resolved.rules;
}

function problemsOf(spec: unknown) {
  const resolved = resolveRules(spec);
  return 'problems' in resolved ? resolved.problems : [];
}

const pointersOf = (spec: unknown) => problemsOf(spec).map(({ pointer }) => pointer);

describe('resolve rules', () => {
  it('takes the default set where nothing is asked for', () => {
    expect(rulesOf(undefined)).toMatchObject({ name: 'default', mowWidthM: 2, offsetsM: { water: 1 } });
  });

  it.each(RULE_SETS.map(({ name }) => name))('finds the set %s by its name, without its description', (name) => {
    expect(rulesOf(name).name).toBe(name);
    expect(rulesOf(name)).not.toHaveProperty('about');
  });

  it('lays overrides over a base and says in the name that it did', () => {
    const rules = rulesOf({ base: 'large-lawn', pegSpacingM: 0.5, offsetsM: { hedge: 0.8 }, bumpHeightM: null });
    const base = rulesOf('large-lawn');
    expect(rules).toEqual({
      ...base,
      name: 'large-lawn with changes',
      pegSpacingM: 0.5,
      bumpHeightM: null,
      offsetsM: { ...base.offsetsM, hedge: 0.8 },
    });
  });

  it('takes the rules of a plan back as they are', () => {
    const rules = rulesOf({ base: 'small-lawn', name: 'our own', runMin: 45 });
    expect(rulesOf(rules)).toEqual(rules);
  });

  it('names the known sets when a name is not one', () => {
    expect(problemsOf('fancy')).toEqual([
      { pointer: '/rules', message: expect.stringMatching(/"fancy".*default, two-distance, small-lawn, large-lawn/) },
    ]);
    expect(pointersOf({ base: 'fancy' })).toEqual(['/rules/base']);
  });

  it('says everything that is wrong at once, each with its place', () => {
    const spec = {
      pegSpacingM: -1,
      mowWidthM: '2',
      offsetsM: { hedge: 11, wall: Number.NaN, canal: 1 },
      reflexJoin: 'bevel',
      bumpHeightM: 'tall',
      excludeSteep: 'yes',
      conductorClass: 3,
      name: 7,
      colour: 'green',
      'a/b~c': 1,
    };
    expect(pointersOf(spec)).toEqual([
      '/rules/pegSpacingM',
      '/rules/mowWidthM',
      '/rules/offsetsM/hedge',
      '/rules/offsetsM/wall',
      '/rules/offsetsM/canal',
      '/rules/reflexJoin',
      '/rules/bumpHeightM',
      '/rules/excludeSteep',
      '/rules/conductorClass',
      '/rules/name',
      '/rules/colour',
      '/rules/a~1b~0c',
    ]);
    const messages = problemsOf(spec).map(({ message }) => message);
    expect(messages[0]).toBe('-1 is not a number from 0.1 to 5 m');
    expect(messages[4]).toContain(OFFSET_KEYS.join(', '));
    for (const name of Object.keys(NUMBER_FIELDS)) expect(messages[10]).toContain(name);
  });

  it.each(Object.entries(NUMBER_FIELDS))('holds %s within its bounds, both ends allowed', (name, { min, max }) => {
    const widths = name === 'mowWidthM' || name === 'driveWidthM' ? { mowWidthM: 5, driveWidthM: 0.2 } : {};
    expect(pointersOf({ ...widths, [name]: max })).toEqual([]);
    expect(pointersOf({ ...widths, [name]: min })).toEqual([]);
    for (const wrong of [min - 0.001, max + 0.001, Number.POSITIVE_INFINITY, Number.NaN, null, [1]]) {
      expect(pointersOf({ ...widths, [name]: wrong })).toEqual([`/rules/${name}`]);
    }
  });

  it('refuses ground that is mown but too narrow to drive', () => {
    expect(problemsOf({ driveWidthM: 3 })).toEqual([
      { pointer: '/rules/driveWidthM', message: expect.stringContaining('more than mowWidthM 2 m') },
    ]);
  });

  it.each([[null], [5], [true], [[]], [['default']]])('refuses %j, which is no rule set', (spec) => {
    expect(pointersOf(spec).length).toBeGreaterThan(0);
  });

  it('leaves the built-in sets as they were', () => {
    const before = structuredClone(RULE_SETS);
    rulesOf({ base: 'default', offsetsM: { water: 2 }, spoolM: 100 });
    expect(RULE_SETS).toEqual(before);
  });

  it.each(RULE_SETS.map((set) => [set.name, set] as const))(
    'built-in set %s keeps its own bounds',
    (_name, { about: _, ...set }) => {
      expect(problemsOf(set)).toEqual([]);
    },
  );
});
