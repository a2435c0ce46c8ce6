import { once } from 'node:events';
import { type ClientRequest, type IncomingMessage, request } from 'node:http';
import { createInterface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { gardenOfSize } from '../bench/bench-gardens.ts';
import { seededRandom } from '../bench/statistics.ts';
import { manySites } from '../support/many-sites.ts';
import { type StartedService, startService } from '../support/started-service.ts';

/** Streams of sites over a socket to one real service, which must outlive them all. */
const PEAK_MAX_MB = 900;

let service: StartedService;
beforeAll(async () => {
  service = await startService({ LOOPWRIGHT_PLANNING_MAX_S: '1', LOOPWRIGHT_WORKER_MEMORY_MB: '512' });
});
afterAll(async () => {
  expect(await service.stop()).toBe(0);
});

function open(query = '?include=station'): ClientRequest {
  const headers = { 'content-type': 'application/x-ndjson', accept: 'application/x-ndjson' };
  return request(`${service.url}plan${query}`, { method: 'POST', headers });
}

async function responseTo(sender: ClientRequest): Promise<IncomingMessage> {
  const [answer]: IncomingMessage[] = await once(sender, 'response');
  return answer;
}

async function answersTo(lines: readonly string[]) {
  const sender = open();
  for (const line of lines) sender.write(`${line}\n`);
  sender.end();
  const answers = [];
  for await (const line of createInterface({ input: await responseTo(sender) })) answers.push(JSON.parse(line));
  return answers;
}

const events = (name: string) => service.lines.map((line) => JSON.parse(line)).filter(({ event }) => event === name);

async function eventually(isSo: () => Promise<boolean> | boolean): Promise<boolean> {
  for (let i = 0; i < 100; i++) {
    if (await isSo()) return true;
    await wait(100);
  }
  return false;
}
const load = async () => (await (await fetch(`${service.url}health`)).json()).workers;
/** A site with 150 kB of what the planner passes over. */
const bulky = (site: string) => site.replace('{', `{"padding":"${'x'.repeat(150_000)}",`);

describe('a stream of sites', () => {
  it('answers a site while its sender still thinks about the next', async () => {
    const sender = open();
    const answering = responseTo(sender);
    const seen: string[] = [];
    const [first, second] = manySites(2);
    sender.write(`${first}\n`);
    const lines = createInterface({ input: await answering });
    lines.on('line', (line) => seen.push(JSON.parse(line).id));
    expect(await eventually(() => seen.length === 1)).toBe(true);
    sender.end(second);
    expect(await eventually(() => seen.length === 2)).toBe(true);
    expect(seen).toEqual(['parcel-0', 'parcel-1']);
  });

  it('outlives sites that never end, each refused in its place', async () => {
    const random = seededRandom(3);
    const endless = JSON.stringify(gardenOfSize(20_000, 300, random));
    const [good] = manySites(1);
    const answers = await answersTo([good, endless, good, endless, good]);
    const late = '/problems/time-limit';
    expect(answers.map(({ problem, id }) => problem?.type ?? id)).toEqual([
      ...['parcel-0', late, 'parcel-0', late, 'parcel-0'],
    ]);
  });

  it('of 60 MB is read no faster than its answers are taken, and goes on when they are', async () => {
    const sites = manySites(400).map(bulky);
    const sender = open('');
    const answering = responseTo(sender);
    let sent = 0;
    const sending = (async () => {
      for (const site of sites) {
        if (!sender.write(`${site}\n`)) await once(sender, 'drain');
        sent++;
      }
      sender.end();
    })();
    const answer = await answering;
    // Nobody reads: what the kernel and Node buffer fills up, and then the sender has to wait.
    let before = -1;
    while (before !== sent) {
      before = sent;
      await wait(1_500);
    }
    expect(sent).toBeLessThan(sites.length);
    const ids: string[] = [];
    for await (const line of createInterface({ input: answer })) ids.push(JSON.parse(line).id);
    await sending;
    expect(ids).toEqual(sites.map((_, i) => `parcel-${i}`));
  }, 180_000);

  it('stops when its reader goes away, and the service is free again', async () => {
    const [site] = manySites(1);
    const sender = open();
    sender.on('error', () => undefined);
    const answering = responseTo(sender);
    sender.write(`${`${site}\n`.repeat(2_000)}`);
    const answer = await answering;
    await once(answer, 'data');
    const streams = events('plan-stream').length;
    sender.destroy();
    expect(await eventually(() => events('plan-stream').length > streams)).toBe(true);
    expect(events('plan-stream').at(-1)).toMatchObject({ given: 'up' });
    expect(events('plan-stream').at(-1).sites).toBeLessThan(2_000);
    expect(await eventually(async () => (await load()).busy === 0)).toBe(true);
    expect(await load()).toMatchObject({ busy: 0, waiting: 0 });
  });

  it('leaves the service with the memory of a few sites', async () => {
    expect((await answersTo(manySites(3))).map(({ id }) => id)).toEqual(['parcel-0', 'parcel-1', 'parcel-2']);
    expect(events('failure')).toEqual([]);
    const peakMb = service.peakMb();
    if (peakMb !== undefined) expect(peakMb).toBeLessThan(PEAK_MAX_MB);
  });
});
