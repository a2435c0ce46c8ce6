import { beforeEach, describe, expect, it } from 'vitest';
import { type NewJob, type Queue, wakeParent } from '#api/queue/queue.ts';
import { migrate } from '#api/store/migrate.ts';
import type { Store } from '#api/store/open-store.ts';

const LEASE_MS = 5_000;

/** What every queue must do, whatever keeps it. `clock.now` is the time it believes in. */
export function queueSuite(theStore: () => Store, clock: { now: string }): void {
  const queue = (): Queue => theStore().queue;
  let start = '';
  const later = (ms: number) => {
    clock.now = new Date(Date.parse(clock.now) + ms).toISOString();
  };
  const add = (id: string, more: Partial<NewJob> = {}) =>
    theStore().database.write(
      queue().add({
        id,
        tenant: 't',
        processId: 'plan-site',
        subject: null,
        request: '{}',
        priority: 1,
        keepMs: 60_000,
        ...more,
      }),
    );
  beforeEach(async () => {
    start = start === '' ? clock.now : start;
    await theStore().database.write([{ sql: 'delete from job' }]);
  });

  describe('jobs', () => {
    it('are taken by priority, then in the order they came, each once', async () => {
      await add('b');
      later(1);
      await add('a');
      later(1);
      await add('first', { priority: 0 });
      const taken = [];
      for (let i = 0; i < 4; i++) taken.push((await queue().take('w', LEASE_MS))?.id);
      expect(taken).toEqual(['first', 'b', 'a', undefined]);
    });

    it('take turns between tenants: the first of one is beside what is next of another, however long that one stands', async () => {
      for (let i = 0; i < 6; i++) {
        await add(`a${i}`, { tenant: 'large' });
        later(1);
      }
      const taken: (string | undefined)[] = [];
      const take = async () => taken.push((await queue().take('w', 60_000))?.id);
      await take();
      await take();
      for (let i = 0; i < 3; i++) {
        await add(`b${i}`, { tenant: 'small' });
        later(1);
      }
      for (let i = 0; i < 7; i++) await take();
      expect(taken).toEqual(['a0', 'a1', 'a2', 'b0', 'a3', 'b1', 'a4', 'b2', 'a5']);
    });

    it('wait for their parts, are woken by the last, and go with them', async () => {
      await add('whole');
      const whole = await queue().take('w', LEASE_MS);
      if (whole === undefined) throw new Error('no job');
      const part = (id: string) =>
        queue().add({
          id,
          tenant: 't',
          processId: 'part',
          subject: null,
          request: '{}',
          priority: 1,
          keepMs: 0,
          parent: 'whole',
        });
      expect(await queue().release(whole, 'w', { status: 'parted', parts: [...part('p'), ...part('q')] })).toBe(true);
      later(60 * LEASE_MS);
      const first = await queue().take('w', LEASE_MS);
      const second = await queue().take('w', LEASE_MS);
      if (first === undefined || second === undefined) throw new Error('no parts');
      expect([first.id, second.id, await queue().take('w', LEASE_MS)]).toEqual(['p', 'q', undefined]);
      const { database } = theStore();
      expect(await database.write([queue().hold(first, 'w')])).toBeDefined();
      expect(await database.write([queue().hold(first, 'other')])).toBeUndefined();
      await queue().release(first, 'w', { status: 'gone' });
      expect(await queue().look.one('t', 'p')).toBeUndefined();
      await database.write([wakeParent('whole', '1 = ?', [1])]);
      expect(await queue().take('w', LEASE_MS)).toMatchObject({ id: 'whole', status: 'running' });
      expect(await queue().dismiss('t', 'whole')).toMatchObject({ status: 'dismissed' });
      expect(await queue().renew(second, 'w', LEASE_MS, 0, null)).toBe(false);
      expect(await queue().look.one('t', 'q')).toBeUndefined();
    });

    it('are taken by one of many workers that ask at once', async () => {
      await Promise.all(Array.from({ length: 10 }, (_, i) => add(`j${i}`)));
      const taken = await Promise.all(Array.from({ length: 12 }, (_, i) => queue().take(`w${i}`, LEASE_MS)));
      const ids = taken.flatMap((job) => (job === undefined ? [] : [job.id]));
      expect(new Set(ids).size).toBe(ids.length);
      let rest = 0;
      while ((await queue().take('last', LEASE_MS)) !== undefined) rest++;
      expect(ids.length + rest).toBe(10);
    });

    it('go back when their worker says no more, and its late word no longer counts', async () => {
      await add('j');
      const job = await queue().take('dead', LEASE_MS);
      if (job === undefined) throw new Error('no job');
      expect(await queue().take('w', LEASE_MS)).toBeUndefined();
      later(LEASE_MS + 1);
      expect(await queue().take('w', LEASE_MS)).toMatchObject({ id: 'j', attempts: 2 });
      expect(await queue().renew(job, 'dead', LEASE_MS, 50, null)).toBe(false);
      expect(await queue().release(job, 'dead', { status: 'successful', result: new Uint8Array(1) })).toBe(false);
      expect(await queue().look.one('t', 'j')).toMatchObject({ status: 'running', progress: 0 });
    });

    it('stay with a worker that renews them, and tell how far they are', async () => {
      await add('j');
      const job = await queue().take('w', LEASE_MS);
      if (job === undefined) throw new Error('no job');
      later(LEASE_MS - 1);
      expect(await queue().renew(job, 'w', LEASE_MS, 40, '2 of 5 sites')).toBe(true);
      later(LEASE_MS - 1);
      expect(await queue().take('other', LEASE_MS)).toBeUndefined();
      expect(await queue().look.one('t', 'j')).toMatchObject({ progress: 40, message: '2 of 5 sites' });
    });

    it('keep their result for its time, and no longer', async () => {
      await add('j');
      const job = await queue().take('w', LEASE_MS);
      if (job === undefined) throw new Error('no job');
      const result = new TextEncoder().encode('{"ö":1}');
      expect(await queue().release(job, 'w', { status: 'successful', result })).toBe(true);
      expect(await queue().look.one('t', 'j')).toMatchObject({
        status: 'successful',
        progress: 100,
        finished: clock.now,
      });
      expect(await queue().look.result('t', 'j')).toEqual(result);
      expect(await queue().look.result('stranger', 'j')).toBeUndefined();
      await queue().look.sweep();
      expect(await queue().look.one('t', 'j')).toBeDefined();
      later(59_000);
      await queue().look.sweep();
      expect(await queue().look.one('t', 'j')).toBeDefined();
      later(2_000);
      await queue().look.sweep();
      expect(await queue().look.one('t', 'j')).toBeUndefined();
    });

    it('keep why they failed, and can be put back for later', async () => {
      await add('j');
      const job = await queue().take('w', LEASE_MS);
      if (job === undefined) throw new Error('no job');
      expect(await queue().release(job, 'w', { retryMs: 1000 })).toBe(true);
      expect(await queue().take('w', LEASE_MS)).toBeUndefined();
      later(1000);
      expect(await queue().take('w', LEASE_MS)).toMatchObject({ id: 'j' });
      await queue().release(job, 'w', { status: 'failed', problem: '{"code":"x"}' });
      expect(await queue().look.one('t', 'j')).toMatchObject({ status: 'failed', problem: '{"code":"x"}' });
    });

    it('can be dismissed while they wait or run, and forgotten afterwards, by their own tenant', async () => {
      await add('j');
      const job = await queue().take('w', LEASE_MS);
      if (job === undefined) throw new Error('no job');
      expect(await queue().dismiss('stranger', 'j')).toBeUndefined();
      expect(await queue().dismiss('t', 'j')).toMatchObject({ status: 'dismissed' });
      expect(await queue().renew(job, 'w', LEASE_MS, 50, null)).toBe(false);
      expect(await queue().dismiss('t', 'j')).toMatchObject({ status: 'dismissed' });
      expect(await queue().look.one('t', 'j')).toBeUndefined();
      expect(await queue().dismiss('t', 'j')).toBeUndefined();
    });

    it('are kept from their end on, however long they waited, and let go of what was asked for', async () => {
      await add('j', { request: '{"inputs":{}}' });
      later(50_000);
      const job = await queue().take('w', LEASE_MS);
      if (job === undefined) throw new Error('no job');
      expect(job.request).toBe('{"inputs":{}}');
      later(20_000);
      await queue().renew(job, 'w', LEASE_MS, 50, null);
      await queue().release(job, 'w', { status: 'successful', result: new Uint8Array(1) });
      expect(await queue().look.one('t', 'j')).toMatchObject({
        request: '{}',
        expiresMs: Date.parse(clock.now) + 60_000,
      });
      later(59_000);
      await queue().look.sweep();
      expect(await queue().look.count('t', ['plan-site'])).toBe(1);
      later(2_000);
      await queue().look.sweep();
      expect(await queue().look.count('t', ['plan-site'])).toBe(0);
    });

    it('of an older store, from before it was noted how long jobs ran, are still done and kept', async () => {
      const { database } = theStore();
      await add('old');
      await database.write([
        ...['keep_ms', 'started_ms', 'finished_ms'].map((column) => ({ sql: `alter table job drop column ${column}` })),
        { sql: "delete from migration where id = '002-how-long-jobs-ran'" },
      ]);
      expect(await migrate(database, clock.now)).toEqual(['002-how-long-jobs-ran']);
      const expiresMs = Date.parse(clock.now) + 60_000;
      const job = await queue().take('w', LEASE_MS);
      if (job === undefined) throw new Error('no job');
      later(1000);
      await queue().release(job, 'w', { status: 'successful', result: new Uint8Array(1) });
      expect(await queue().look.one('t', 'old')).toMatchObject({ status: 'successful', expiresMs });
      expect((await queue().look.list('t', { ranMsMin: 1000 }, 10)).map(({ id }) => id)).toEqual(['old']);
    });

    it('are listed by how long they ran, or have run so far', async () => {
      await add('done');
      const done = await queue().take('w', LEASE_MS);
      if (done === undefined) throw new Error('no job');
      later(3_000);
      await queue().release(done, 'w', { status: 'successful', result: new Uint8Array(1) });
      await add('runs');
      await queue().take('w', 60_000);
      await add('waits');
      later(10_000);
      const list = async (ranMsMin?: number, ranMsMax?: number) =>
        (await queue().look.list('t', { ranMsMin, ranMsMax }, 10)).map(({ id }) => id).toSorted();
      expect(await list(0)).toEqual(['done', 'runs']);
      expect(await list(3_000, 3_000)).toEqual(['done']);
      expect(await list(3_001)).toEqual(['runs']);
      expect(await list(undefined, 2_999)).toEqual([]);
    });

    it('are listed page by page, none twice and none left out, also of one instant', async () => {
      for (const id of ['a', 'b', 'c']) await add(id);
      later(1);
      for (const id of ['d', 'e']) await add(id);
      const pages: string[][] = [];
      let after: Awaited<ReturnType<Queue['look']['list']>>[number] | undefined;
      do {
        const page = await queue().look.list('t', { after }, 2);
        pages.push(page.map(({ id }) => id));
        after = page.at(-1);
      } while (after !== undefined);
      expect(pages).toEqual([['d', 'e'], ['a', 'b'], ['c'], []]);
      expect(await queue().look.list('t', { processIds: [] }, 10)).toEqual([]);
    });

    it('are listed by process, state and time, the latest first', async () => {
      await add('old');
      later(1000);
      await add('new', { processId: 'echo' });
      await add('theirs', { tenant: 'other' });
      const list = async (filter: Parameters<Queue['look']['list']>[1]) =>
        (await queue().look.list('t', filter, 10)).map(({ id }) => id);
      expect(await list({})).toEqual(['new', 'old']);
      expect(await list({ processIds: ['plan-site'] })).toEqual(['old']);
      expect(await list({ states: ['failed', 'running'] })).toEqual([]);
      expect(await list({ createdFrom: clock.now })).toEqual(['new']);
      expect(await queue().look.open('t')).toBe(2);
      expect(await queue().look.open()).toBe(3);
    });
  });
}
