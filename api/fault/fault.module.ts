import type { Module } from '#api/app.ts';
import { faultQuestionSchema } from '#api/contract/fault-schema.ts';
import { schemaFaults } from '#api/contract/schema-faults.ts';
import { HttpProblem } from '#api/problems.ts';
import { readJsonBody } from '#api/sites/read-feature-body.ts';
import { findFault } from '#geo-core/index.ts';
import { recordedRoute } from './recorded-route.ts';

const MEDIA_TYPES = ['application/json', 'application/geo+json'];

/** `POST /fault`: a plan and what was measured on its wire in, where the fault can be and which splice to open next out. */
export const faultModule: Module = {
  name: 'fault',
  mount(app, { limits }) {
    app.post('/fault', async (c) => {
      const { json } = await readJsonBody(c.req.raw, limits, MEDIA_TYPES);
      const read = faultQuestionSchema.safeParse(json);
      if (!read.success) throw wrong(schemaFaults(read.error));
      const { plan, signalUnit, ...question } = read.data;
      const route = recordedRoute(plan.features, signalUnit);
      if (route === undefined) {
        throw wrong([
          {
            pointer: '/plan/features',
            detail: `there is no route of signal unit ${signalUnit} with a chainage for each position`,
          },
        ]);
      }
      const known = new Set(route.splices.map(({ id }) => id));
      const faults = question.measurements.flatMap((each, i) => {
        if (each.what === 'opened' && !known.has(each.splice))
          return [
            { pointer: `/measurements/${i}/splice`, detail: `the plan has no splice "${each.splice.slice(0, 80)}"` },
          ];
        if (each.what === 'tone' && each.chainageM > route.lengthM)
          return [
            { pointer: `/measurements/${i}/chainageM`, detail: `the wire ends at ${route.lengthM.toFixed(2)} m` },
          ];
        return [];
      });
      if (faults.length > 0) throw wrong(faults);
      const found = findFault({ route, ...question });
      return c.body(JSON.stringify(found), 200, {
        'content-type': 'application/geo+json',
        'cache-control': 'no-store',
      });
    });
  },
};

function wrong(errors: readonly { readonly pointer: string; readonly detail: string }[]): HttpProblem {
  return new HttpProblem({ code: 'invalid-question', detail: 'a fault cannot be looked for like that', errors });
}
