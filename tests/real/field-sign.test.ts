import fc from 'fast-check';
import { expect, it } from 'vitest';
import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import { planSite } from '#geo-core/index.ts';
import type { JoinedRoute } from '#geo-core/model/plane-plan.ts';
import type { Polyline } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { seededRandom } from '../bench/statistics.ts';
import { siteOf } from '../properties/drawing.ts';
import { anyRules, garden, placement } from '../properties/gardens.ts';
import { useKernel } from '../support/load-kernel.ts';
import { LAWN_PLACES, readRealLawns } from '../support/real-lawns.ts';

useKernel();

/** LOOPWRIGHT_FIELD_PLANS = how many plans, half of them real lawns; 500 are the 100,000 points of a report. */
const PLANS = Number(process.env.LOOPWRIGHT_FIELD_PLANS ?? 30);
const POINTS = 200;
/** Points stand this far about the wire, too, and nobody stands on it. */
const AROUND_M = 4;
const OFF_WIRE_M = 1e-4;
const SEED = 20_240;

/**
 * For one closed wire run once around every piece of ground the field in its plane is up exactly where the wire goes round once
 * (terms along a ray alternate and the nearest counts most): D. J. Griffiths, Introduction to Electrodynamics, ch. 5, and the winding number.
 */
it(`points up exactly where the wire goes round: ${PLANS * POINTS} points of ${PLANS} plans`, {
  timeout: 600_000,
}, () => {
  const random = seededRandom(SEED);
  let [points, inside] = [0, 0];
  for (const { site, rules } of sites()) {
    for (const line of routesOf(site, rules)) {
      for (const [x, y] of pointsAbout(line, random)) {
        const winding = windingNumber(line, x, y);
        const fieldNt = verticalFieldNt(line, x, y);
        expect([winding, Math.sign(fieldNt)], `at ${x}, ${y}: ${fieldNt} nT`).toEqual(winding === 1 ? [1, 1] : [0, -1]);
        points++;
        inside += winding;
      }
    }
  }
  expect(points).toBeGreaterThan(0.9 * PLANS * POINTS);
  expect(inside).toBeGreaterThan(0.2 * points);
});

/** Half real lawns, half generated gardens with any rules. */
function sites(): { site: SiteInput; rules: Rules }[] {
  const real = LAWN_PLACES.flatMap(readRealLawns);
  const half = Math.ceil(PLANS / 2);
  const step = Math.max(1, Math.floor(real.length / half));
  const lawns = real.filter((_, i) => i % step === 0).map(({ site }) => ({ site, rules: RULE_SETS[0] }));
  const drawn = fc
    .sample(fc.tuple(garden, anyRules, placement), { numRuns: 2 * half, seed: SEED })
    .map(([drawing, rules, place]) => ({ site: siteOf(drawing, place), rules }));
  return [...planned(lawns, half), ...planned(drawn, half)];
}

function planned(all: readonly { site: SiteInput; rules: Rules }[], count: number) {
  return all.filter(({ site, rules }) => routesOf(site, rules).length > 0).slice(0, count);
}

function routesOf(site: SiteInput, rules: Rules): Polyline[] {
  const lines: Polyline[] = [];
  const plan = planSite(site, rules, (stage, output) => {
    if (stage === '50-join-route') lines.push(...(output as JoinedRoute).routes.map(({ line }) => line));
  });
  return plan.audit.passed ? lines.slice(0, 1) : [];
}

function pointsAbout(line: Polyline, random: () => number): [number, number][] {
  const xs = line.filter((_, i) => i % 2 === 0);
  const ys = line.filter((_, i) => i % 2 === 1);
  const [west, south] = [Math.min(...xs) - AROUND_M, Math.min(...ys) - AROUND_M];
  const [widthM, heightM] = [Math.max(...xs) + AROUND_M - west, Math.max(...ys) + AROUND_M - south];
  return Array.from({ length: POINTS }, (): [number, number] => [
    west + random() * widthM,
    south + random() * heightM,
  ]).filter(([x, y]) => !isOnWire(line, x, y));
}

function isOnWire(line: Polyline, x: number, y: number): boolean {
  for (let i = 0; i + 3 < line.length; i += 2)
    if (pointSegmentM(x, y, line[i], line[i + 1], line[i + 2], line[i + 3]) < OFF_WIRE_M) return true;
  return false;
}

/** Crossings of a ray to the east, upward ones counted up. */
function windingNumber(line: Polyline, x: number, y: number): number {
  let winding = 0;
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ay, by] = [line[i + 1], line[i + 3]];
    if (ay > y === by > y) continue;
    if (line[i] + ((y - ay) / (by - ay)) * (line[i + 2] - line[i]) > x) winding += by > ay ? 1 : -1;
  }
  return winding;
}
