import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Ring } from '#geo-core/model/position.ts';
import { insetPolygon } from '#geo-core/plane/inset-polygon.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringAreaM2, ringLengthM } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, reversedRing, ringsOf } from '#geo-core/plane/polygons.ts';
import { useKernel } from '../support/load-kernel.ts';

useKernel();

/**
 * Buffer cases of the JTS Topology Suite (EPL 2.0 or EDL 1.0, JTS contributors; modules/tests/src/test/resources/testxml).
 * A polygon and a distance below 0 is our inset; above 0 it is how a keep-out is grown: the inset of the plane around it.
 * Lines, points and mitred lines have no counterpart here. Expected curves are drawn with 8 chords a quarter, inside the
 * true arc by up to d (1 - cos(pi / 32)) = 0.0048 d; ours with tangents, outside by at most 1 mm.
 */
const FILE = new URL('../../../shared/data/peers-jts/buffer.jsonl', import.meta.url);
const hasCases = existsSync(FILE);

type Case = { file: string; case: number; op: string; arg2?: string; arg3?: string; a: string; expect: string };

function cases(): Case[] {
  return readFileSync(FILE, 'utf8')
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line));
}

/** Rings of POLYGON and MULTIPOLYGON text, moved so that the first lies at the middle; undefined for other types. */
function ringsOfWkt(
  wkt: string,
  middle?: readonly [number, number],
): { rings: Ring[]; middle: [number, number] } | undefined {
  if (!/^(MULTI)?POLYGON/.test(wkt)) return undefined;
  const lists = [...wkt.matchAll(/\(([^()]+)\)/g)].map(([, list]) =>
    list.split(',').map((pair) => pair.trim().split(/\s+/).slice(0, 2).map(Number)),
  );
  const all = lists.flat();
  const mean = (k: number) => all.reduce((sum, xy) => sum + xy[k], 0) / Math.max(1, all.length);
  const [mx, my] = middle ?? [Math.round(mean(0)), Math.round(mean(1))];
  const rings = lists.map((list) => Float64Array.from(list.slice(0, -1).flatMap(([x, y]) => [x - mx, y - my])));
  return { rings: rings.filter((ring) => ring.length >= 6), middle: [mx, my] };
}

const areaM2 = (rings: readonly Ring[]) => rings.reduce((sum, ring) => sum + ringAreaM2(ring), 0);

function buffered(rings: readonly Ring[], distance: number, gridM: number): Ring[] {
  const polygons = polygonsFromRings(kernel().evenOdd(rings, gridM));
  const offsets = (ring: Ring, d: number) => ({ ring, offsetsM: new Float64Array(ring.length / 2).fill(d) });
  if (distance < 0) {
    return polygons.flatMap(({ outer, holes }) =>
      ringsOf(
        insetPolygon(
          [outer, ...holes].map((ring) => offsets(ring, -distance)),
          'round',
          gridM,
        ),
      ),
    );
  }
  const reach =
    Math.max(...rings.map((ring) => ring.reduce((far, metre) => Math.max(far, Math.abs(metre)), 0))) + 3 * distance;
  const frame = Float64Array.of(-reach, -reach, reach, -reach, reach, reach, -reach, reach);
  const around = ringsOf(polygons).map((ring) => offsets(reversedRing(ring), distance));
  const left = insetPolygon([offsets(frame, 0), ...around], 'round', gridM);
  return kernel().difference([frame], ringsOf(left), gridM);
}

describe.skipIf(!hasCases)('buffers of another library (needs ../shared/data/peers-jts)', () => {
  it('agree with ours wherever the case has a counterpart, to what chords and tangents may differ by', () => {
    const told: string[] = [];
    let [translated, agreed] = [0, 0];
    for (const each of cases()) {
      const distance = Number(each.arg2 ?? each.arg3);
      const given = each.op === 'buffer' ? ringsOfWkt(each.a) : undefined;
      const wanted = given && (ringsOfWkt(each.expect, given.middle) ?? { rings: [] });
      if (!given || !wanted || given.rings.length === 0 || !Number.isFinite(distance) || distance === 0) continue;
      if (/POLYGON\s*EMPTY/.test(each.expect) === false && wanted.rings.length === 0) continue;
      // A ring without area is no ground: a keep-out of no size needs no loop.
      if (areaM2(kernel().evenOdd(given.rings, 1e-4)) === 0) continue;
      translated++;
      const reach = Math.max(...given.rings.flatMap((ring) => [...ring].map(Math.abs))) + Math.abs(distance);
      const gridM = 10 ** Math.max(-6, Math.ceil(Math.log10(reach / 4e8)));
      const ours = buffered(given.rings, distance, gridM);
      const theirs = kernel().evenOdd(wanted.rings, gridM);
      const apartM2 = areaM2(kernel().evenOdd([...ours, ...theirs], gridM));
      const outlineM = [...ours, ...theirs, ...given.rings].reduce((sum, ring) => sum + ringLengthM(ring), 0);
      const allowedM2 = outlineM * (0.0048 * Math.abs(distance) + 0.001 + 2 * gridM);
      if (apartM2 <= allowedM2) agreed++;
      else
        told.push(
          `${each.file} ${each.case}, distance ${distance}: ${apartM2.toFixed(3)} apart, ${allowedM2.toFixed(3)} allowed`,
        );
    }
    expect(told).toEqual([]);
    expect(translated).toBe(54);
    expect(agreed).toBe(54);
  });
});
