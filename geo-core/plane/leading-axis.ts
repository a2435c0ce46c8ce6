import type { Polyline } from '#geo-core/model/position.ts';

/** A line (flat x, y, ...; metres) and what a metre of it, or a line of one vertex, counts in the balance of a drawing. */
export type WeightedLine = { readonly line: Polyline; readonly isClosed: boolean; readonly weight: number };

/** Edges whose lengths differ by less are as long as each other, places that near are one: what rounding to nine decimals of a degree may move, metres. */
const TIE_M = 0.001;

/** Parts of unit directions that differ by less are equal: an edge of a metre whose end moves by a micrometre. */
const SAME_WAY = 1e-6;

/** An edge one way: unit direction; how far the balance of the drawing lies left of it and ahead of its middle, metres. */
type Way = { readonly ux: number; readonly uy: number; readonly leftM: number; readonly aheadM: number };

/**
 * The direction that a drawing gives itself, so that nothing planned in it depends on how it was turned: along its longest edge, with
 * the balance of all its lines as far on the left as can be; of several such edges, the one with it farthest ahead. Where a drawing
 * is the same turned (a square and nothing else) the x axis decides, whatever its lines begin with. Undefined where nothing has a length.
 */
export function leadingAxis(lines: readonly WeightedLine[]): { readonly ux: number; readonly uy: number } | undefined {
  const longestM = Math.max(0, ...lines.map(longestEdgeM));
  if (longestM <= TIE_M) return undefined;
  const balance = balanceOf(lines);
  let best: Way | undefined;
  for (const each of lines)
    for (const [ax, ay, bx, by] of edgesOf(each)) {
      const lengthM = lengthOf(ax, ay, bx, by);
      if (lengthM < longestM - TIE_M) continue;
      const [ux, uy] = [(bx - ax) / lengthM, (by - ay) / lengthM];
      const [x, y] = [balance.x - (ax + bx) / 2, balance.y - (ay + by) / 2];
      const way = { ux, uy, leftM: ux * y - uy * x, aheadM: ux * x + uy * y };
      for (const one of [way, { ux: -ux, uy: -uy, leftM: -way.leftM, aheadM: -way.aheadM }])
        if (best === undefined || leads(one, best)) best = one;
    }
  return best;
}

function leads(one: Way, other: Way): boolean {
  if (Math.abs(one.leftM - other.leftM) > TIE_M) return one.leftM > other.leftM;
  if (Math.abs(one.aheadM - other.aheadM) > TIE_M) return one.aheadM > other.aheadM;
  return Math.abs(one.ux - other.ux) > SAME_WAY ? one.ux > other.ux : one.uy > other.uy + SAME_WAY;
}

function balanceOf(lines: readonly WeightedLine[]): { readonly x: number; readonly y: number } {
  let [sum, x, y] = [0, 0, 0];
  const count = (px: number, py: number, weight: number): void => {
    sum += weight;
    x += weight * px;
    y += weight * py;
  };
  for (const each of lines) {
    const { line, weight } = each;
    if (line.length === 2) count(line[0], line[1], weight);
    for (const [ax, ay, bx, by] of edgesOf(each))
      count((ax + bx) / 2, (ay + by) / 2, weight * lengthOf(ax, ay, bx, by));
  }
  return { x: x / sum, y: y / sum };
}

function longestEdgeM(line: WeightedLine): number {
  let mostM = 0;
  for (const [ax, ay, bx, by] of edgesOf(line)) mostM = Math.max(mostM, lengthOf(ax, ay, bx, by));
  return mostM;
}

function* edgesOf({ line, isClosed }: WeightedLine): Generator<readonly [number, number, number, number]> {
  const n = line.length;
  for (let i = 2; i < n; i += 2) yield [line[i - 2], line[i - 1], line[i], line[i + 1]];
  if (isClosed && n > 4) yield [line[n - 2], line[n - 1], line[0], line[1]];
}

function lengthOf(ax: number, ay: number, bx: number, by: number): number {
  return Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
}
