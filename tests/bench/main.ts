import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { cpus } from 'node:os';
import { loadKernel } from '#geo-core/plane/kernel.ts';
import { LAWN_PLACES, readRealLawns } from '../support/real-lawns.ts';
import { benchOffset } from './offset-peers.ts';
import { benchPlans } from './plan-lawns.ts';
import { seededRandom } from './statistics.ts';

/**
 * `npm run bench [-- LAWNS]`: one run, seeded, everything as ratios against a named peer in the same run.
 * LAWNS takes only so many lawns, drawn by the seed.
 */
const SEED = 20_240;
const OFFSET_LAWNS = 400;

await bench(Number(process.argv[2] ?? Number.POSITIVE_INFINITY));

async function bench(count: number): Promise<void> {
  await loadKernel(readFileSync(createRequire(import.meta.url).resolve('clipper2-wasm/dist/es/clipper2z.wasm')));
  const random = seededRandom(SEED);
  const drawn = LAWN_PLACES.flatMap(readRealLawns)
    .map((lawn) => ({ lawn, ticket: random() }))
    .toSorted((a, b) => a.ticket - b.ticket)
    .map(({ lawn }) => lawn);
  process.stdout.write(`Node ${process.version}, ${cpus()[0]?.model ?? 'unknown processor'}, seed ${SEED}\n\n`);
  process.stdout.write(`${benchOffset(drawn.slice(0, Math.min(count, OFFSET_LAWNS)), SEED)}\n\n`);
  process.stdout.write(`${benchPlans(drawn.slice(0, count))}\n`);
}
