import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { cpus } from 'node:os';
import { loadKernel } from '#geo-core/plane/kernel.ts';
import { LAWN_PLACES, type RealLawn, readRealLawns } from '../support/real-lawns.ts';
import { benchField } from './field-maps.ts';
import { benchLeads } from './lead-gaps.ts';
import { benchOffset } from './offset-peers.ts';
import { benchLawns } from './plan-lawns.ts';
import { benchMemory } from './plan-memory.ts';
import { benchPortfolio, benchPortfolioMemory } from './portfolio.ts';
import { benchSimulation } from './simulated-weeks.ts';
import { benchSizes } from './size-classes.ts';
import { seededRandom } from './statistics.ts';
import { benchTypical } from './typical-sites.ts';

/**
 * `npm run bench [-- SECTION ... [LAWNS]]`: one run, seeded, everything as ratios against a named peer in the same run.
 * Sections are typical, classes, memory, offset, leads, lawns, field, simulate; none named is all of them. LAWNS takes only so many real lawns, drawn by the seed.
 */
const SEED = 20_240;
const OFFSET_LAWNS = 400;
const USAGE = 'npm run bench [-- [typical] [classes] [memory] [offset] [leads] [lawns] [field] [simulate] [LAWNS]]';

const SECTIONS: Readonly<Record<string, (lawns: readonly RealLawn[]) => string | Promise<string>>> = {
  typical: () => benchTypical(SEED),
  classes: () => benchSizes(SEED),
  memory: () => benchMemory(SEED),
  offset: (lawns) => benchOffset(lawns.slice(0, OFFSET_LAWNS), SEED),
  leads: benchLeads,
  lawns: benchLawns,
  portfolio: () => benchPortfolio(SEED),
  'portfolio-memory': () => benchPortfolioMemory(SEED),
  field: benchField,
  simulate: benchSimulation,
};

await bench(process.argv.slice(2));

async function bench(words: readonly string[]): Promise<void> {
  const strange = words.find((word) => !Object.hasOwn(SECTIONS, word) && !/^\d+$/.test(word));
  if (strange !== undefined) {
    process.stderr.write(`no section '${strange}'\n${USAGE}\n`);
    process.exitCode = 2;
    return;
  }
  const named = words.filter((word) => Object.hasOwn(SECTIONS, word));
  const count = Number(words.find((word) => /^\d+$/.test(word)) ?? Number.POSITIVE_INFINITY);
  await loadKernel(readFileSync(createRequire(import.meta.url).resolve('clipper2-wasm/dist/es/clipper2z.wasm')));
  const random = seededRandom(SEED);
  const lawns = LAWN_PLACES.flatMap(readRealLawns)
    .map((lawn) => ({ lawn, ticket: random() }))
    .toSorted((a, b) => a.ticket - b.ticket)
    .map(({ lawn }) => lawn)
    .slice(0, count);
  process.stdout.write(`Node ${process.version}, ${cpus()[0]?.model ?? 'unknown processor'}, seed ${SEED}\n`);
  for (const name of named.length > 0 ? named : Object.keys(SECTIONS))
    process.stdout.write(`\n${await SECTIONS[name](lawns)}\n`);
}
