import type { Module } from '#api/app.ts';
import { HttpProblem } from '#api/problems.ts';

const RETRY_AFTER_S = '5';

/** For whoever runs the service: may it be given work, and how is it doing? */
export const operationsModule: Module = {
  name: 'operations',
  mount(app, { house, meter, settings }) {
    app.get('/ready', async (c) => {
      try {
        const { store } = await house();
        await store.database.read('select 1 as one');
      } catch (error) {
        const detail = `what is kept cannot be reached: ${error instanceof Error ? error.message : String(error)}`;
        throw new HttpProblem({ code: 'store-unavailable', detail, headers: { 'retry-after': RETRY_AFTER_S } });
      }
      return c.json({ status: 'ready' }, 200, { 'cache-control': 'no-store' });
    });
    if (!settings.hasMetrics) return;
    app.get('/metrics', async (c) =>
      c.body(await meter.text(), 200, { 'content-type': meter.mediaType, 'cache-control': 'no-store' }),
    );
  },
};
