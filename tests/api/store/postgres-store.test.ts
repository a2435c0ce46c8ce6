import { afterAll, beforeAll, describe } from 'vitest';
import { openStore, type Store } from '#api/store/open-store.ts';
import { queueSuite } from '../../suites/queue-suite.ts';
import { storeSuite } from '../../suites/store-suite.ts';
import { postgresPrograms, startPostgres } from '../../support/private-postgres.ts';

const clock = { now: '2027-03-01T08:00:00.000Z' };
const programs = postgresPrograms();

/** Without PostgreSQL on the machine there is nothing to run against; `.ci/run` installs it. */
describe.skipIf(programs === undefined)('the store in PostgreSQL', () => {
  let ids = 0;
  let cluster: ReturnType<typeof startPostgres> | undefined;
  let store: Store | undefined;
  beforeAll(async () => {
    cluster = startPostgres(programs ?? '');
    store = await openStore(
      { dataFolder: '', databaseUrl: cluster.url },
      {
        now: () => clock.now,
        newId: () => `id-${++ids}`,
        onLost: (error) => {
          throw error;
        },
      },
    );
  });
  afterAll(async () => {
    await store?.close();
    cluster?.stop();
  });
  const theStore = (): Store => {
    if (store === undefined) throw new Error('the store opens before the tests of a file');
    return store;
  };
  storeSuite(theStore, clock);
  queueSuite(theStore, clock);
});
