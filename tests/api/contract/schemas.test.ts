import { describe, expect, expectTypeOf, it } from 'vitest';
import type { z } from 'zod';
import type { planSchema } from '#api/contract/plan-schema.ts';
import { rulesSchema, rulesSpecSchema } from '#api/contract/rules-schema.ts';
import { SCHEMAS } from '#api/contract/schemas.ts';
import { PLAN_KINDS, type Plan } from '#geo-core/model/plan.ts';
import { resolveRules } from '#geo-core/model/resolve-rules.ts';
import { NUMBER_FIELDS, RULE_SETS, type Rules } from '#geo-core/model/rules.ts';

/** The model is read-only, what comes out of a schema is not. */
type Writable<T> = T extends readonly [infer A, infer B]
  ? [A, B]
  : T extends readonly [infer A, infer B, infer C, infer D]
    ? [A, B, C, D]
    : T extends readonly (infer Item)[]
      ? Writable<Item>[]
      : T extends object
        ? { -readonly [Key in keyof T]: Writable<T[Key]> }
        : T;

describe('schemas of the wire', () => {
  it('have the types of the model, both ways', () => {
    expectTypeOf<z.infer<typeof planSchema>>().toExtend<Plan>();
    expectTypeOf<Writable<Plan>>().toExtend<z.infer<typeof planSchema>>();
    expectTypeOf<z.infer<typeof rulesSchema>>().toExtend<Rules>();
    expectTypeOf<Writable<Rules>>().toExtend<z.infer<typeof rulesSchema>>();
  });

  it.each(Object.entries(SCHEMAS))('%s is a JSON Schema with a description', (_name, schema) => {
    expect(schema.$schema).toBe('https://json-schema.org/draft/2020-12/schema');
    expect(schema.description).toMatch(/\w/);
    expect(JSON.parse(JSON.stringify(schema))).toEqual(schema);
  });

  it('describe every kind of plan feature', () => {
    const text = JSON.stringify(SCHEMAS.plan);
    for (const kind of PLAN_KINDS) expect(text).toContain(`"const":"${kind}"`);
  });

  it('give unit and bounds of every number of a rule set', () => {
    const text = JSON.stringify(SCHEMAS.rules);
    for (const [name, { unit }] of Object.entries(NUMBER_FIELDS)) {
      expect(text).toContain(`"${name}":{`);
      expect(text).toContain(`(${unit})`);
    }
  });

  it('take the built-in rule sets', () => {
    for (const { about: _, ...set } of RULE_SETS) expect(rulesSchema.parse(set)).toEqual(set);
  });

  it.each([
    ['default'],
    ['fancy'],
    [{ base: 'default', pegSpacingM: 1 }],
    [{ base: 'fancy' }],
    [{ pegSpacingM: 99 }],
    [{ offsetsM: { wall: 10 } }],
    [{ offsetsM: { wall: 11 } }],
    [{ offsetsM: { canal: 1 } }],
    [{ bumpHeightM: null }],
    [{ colour: 'green' }],
    [null],
    [[]],
    [7],
  ])('say about the rules %j what the planner says', (spec) => {
    expect(rulesSpecSchema.safeParse(spec).success).toBe('rules' in resolveRules(spec));
  });
});
