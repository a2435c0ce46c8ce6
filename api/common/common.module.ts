import type { Module } from '#api/app.ts';
import { SCHEMAS } from '#api/contract/schemas.ts';
import { HttpProblem, PROBLEMS } from '#api/problems.ts';
import {
  BUMP_HEIGHT_FIELD,
  CONDUCTOR_CLASSES,
  NUMBER_FIELDS,
  OFFSET_FIELD,
  OFFSET_KEYS,
  OFFSET_REASONS,
  RULE_SETS,
} from '#geo-core/model/rules.ts';

const OFFSETS = OFFSET_KEYS.map((key) => ({ ...OFFSET_FIELD, key, reason: OFFSET_REASONS[key] }));
const NUMBERS = Object.entries(NUMBER_FIELDS).map(([name, field]) => ({ name, ...field }));
const CHOICES = [
  {
    name: 'reflexJoin',
    values: ['round', 'mitre'],
    reason: 'how the wire goes round corners that point into the lawn',
  },
  { name: 'bumpHeightM', ...BUMP_HEIGHT_FIELD, orNull: true },
  { name: 'excludeSteep', values: [true, false], reason: 'steep ground becomes a keep-out instead of a finding' },
  {
    name: 'daylightOnly',
    values: [true, false],
    reason: 'mowing by day only, so that small wild animals are not met in the dark',
  },
  {
    name: 'conductorClass',
    values: CONDUCTOR_CLASSES,
    reason: 'class of the wire by IEC 60228: 1 solid, 2 stranded, 5 flexible',
  },
];
const RULES = {
  about: "Common practice, no source, unless a reason says otherwise; the machine's own manual comes first.",
  ruleSets: RULE_SETS,
  fields: { offsetsM: OFFSETS, numbers: NUMBERS, others: CHOICES },
};

/** What there is to know about the service itself. */
export const commonModule: Module = {
  name: 'common',
  mount(app, { planner, limits, version, nowMs }) {
    const startMs = nowMs();
    app.get('/health', (c) => {
      const uptimeS = Math.round((nowMs() - startMs) / 1000);
      return c.json({ status: 'ok', version, uptimeS, workers: planner.load(), limits }, 200, {
        'cache-control': 'no-store',
      });
    });
    app.get('/rules', (c) => c.json(RULES));
    app.get('/problems/:code', (c) => {
      const code = c.req.param('code');
      const found = Object.entries(PROBLEMS).find(([known]) => known === code)?.[1];
      if (found === undefined) throw new HttpProblem({ code: 'not-found', detail: 'no such kind of problem' });
      return c.json({ type: `/problems/${code}`, ...found });
    });
    app.get('/schemas/:name', (c) => {
      const name = c.req.param('name').replace(/\.json$/, '');
      const schema = Object.entries(SCHEMAS).find(([known]) => known === name)?.[1];
      if (schema === undefined) {
        const known = Object.keys(SCHEMAS).join(', ');
        throw new HttpProblem({ code: 'not-found', detail: `no schema "${name.slice(0, 40)}"; known are ${known}` });
      }
      return c.body(JSON.stringify(schema), 200, { 'content-type': 'application/schema+json' });
    });
  },
};
