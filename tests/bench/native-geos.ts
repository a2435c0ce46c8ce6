import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { EdgedPolygon, KeepOut } from '#geo-core/model/plane-plan.ts';
import { quantile } from './statistics.ts';

/** Ground with a distance for each edge, and what is taken out of it, grown by its own distance. */
export type OffsetWork = { readonly edges: readonly EdgedPolygon[]; readonly keepOuts: readonly KeepOut[] };
/** Seconds (median over the rounds) and area left, by work. */
export type Run = { readonly seconds: readonly number[]; readonly areasM2: readonly number[] };

const HEADER_PLACES = ['/usr/include/geos_c.h', '/usr/local/include/geos_c.h', '/opt/homebrew/include/geos_c.h'];

/** Compiles the C program beside this file and lets it do the work; a message where compiler or library is absent. */
export function nativeGeos(works: readonly OffsetWork[], rounds: number): Run | string {
  if (!HEADER_PLACES.some((place) => existsSync(place)))
    return 'native GEOS skipped: geos_c.h is not here (Debian: apt-get install gcc libgeos-dev)';
  const folder = mkdtempSync(join(tmpdir(), 'loopwright-bench-'));
  try {
    const program = join(folder, 'geos-offset');
    const source = fileURLToPath(new URL('geos-offset.c', import.meta.url));
    execFileSync('cc', ['-O2', '-o', program, source, '-lgeos_c', '-lm'], { stdio: 'pipe' });
    const input = works
      .flatMap(({ edges, keepOuts }) =>
        edges.flatMap((polygon, part) => lawnLines(polygon, part === 0 ? keepOuts : [])),
      )
      .join('\n');
    const output = execFileSync(program, [String(rounds)], { input, maxBuffer: 1 << 28 }).toString();
    return gathered(works, rounds, output);
  } catch (error) {
    return `native GEOS skipped: ${error instanceof Error ? error.message.split('\n')[0] : String(error)}`;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** A lawn of several parts is several polygons to GEOS: their times and areas are added up. */
function gathered(works: readonly OffsetWork[], rounds: number, output: string): Run {
  const owner = works.flatMap(({ edges }, work) => edges.map(() => work));
  const perRound = Array.from({ length: rounds }, () => works.map(() => 0));
  const areasM2 = works.map(() => 0);
  output
    .trim()
    .split('\n')
    .forEach((line, i) => {
      const [part, seconds, areaM2] = line.split(' ').map(Number);
      const round = Math.floor(i / owner.length);
      perRound[round][owner[part]] += seconds;
      if (round === 0) areasM2[owner[part]] += areaM2;
    });
  const secondsOf = (work: number): number[] => perRound.map((round) => round[work]);
  return { seconds: works.map((_, work) => quantile(secondsOf(work), 0.5)), areasM2 };
}

function lawnLines({ outer, holes }: EdgedPolygon, keepOuts: readonly KeepOut[]): string[] {
  const taken = keepOuts.flatMap(({ polygons, discs, offsetM }) =>
    discs.length > 0
      ? discs.map(({ x, y, radiusM }) => ['ring 1', `${x} ${y} ${radiusM + offsetM}`])
      : polygons.map(({ outer: ring }) => ringLines(ring, () => offsetM)),
  );
  const rings = [outer, ...holes];
  return [
    `lawn ${rings.length} ${taken.length}`,
    ...rings.flatMap(({ ring, offsetsM }) => ringLines(ring, (edge) => offsetsM[edge])),
    ...taken.flat(),
  ];
}

function ringLines(ring: Float64Array, distanceM: (edge: number) => number): string[] {
  return [
    `ring ${ring.length / 2}`,
    ...Array.from({ length: ring.length / 2 }, (_, i) => `${ring[2 * i]} ${ring[2 * i + 1]} ${distanceM(i)}`),
  ];
}
