import type { EdgedPolygon, EdgeRing } from '#geo-core/model/plane-plan.ts';
import type { Ring } from '#geo-core/model/position.ts';

/** A turn counts as a corner from 45 degrees on: its cosine. Common practice, no source. */
const CORNER_COSINE = Math.SQRT1_2;

/**
 * Ground of the corners that point out of the lawn, as far as the wire cuts them: from the lawn's corner V along both edges to where the
 * chamfer of the wire begins, from there square to the edges up to the wire, and along the chamfer.
 *
 *     - - - - - - + - - V      p = (offset of the other edge - own offset x cos turn) / sin turn,
 *                 |     |      from V to the foot of the wire's corner P, and the leg of the chamfer beyond
 *     ....____    + - P +
 *     wire    \_        :
 *               \_______:
 */
export function cornerPatches(edges: readonly EdgedPolygon[], legM: number): Ring[] {
  return edges.flatMap(({ outer, holes }) => [outer, ...holes].flatMap((ring) => ringPatches(ring, legM)));
}

function ringPatches({ ring, offsetsM }: EdgeRing, legM: number): Ring[] {
  const count = ring.length / 2;
  const patches: Ring[] = [];
  for (let i = 0; i < count; i++) {
    const [before, after] = [(i + count - 1) % count, (i + 1) % count];
    const [x, y] = [ring[2 * i], ring[2 * i + 1]];
    const [inX, inY, inM] = unit(x - ring[2 * before], y - ring[2 * before + 1]);
    const [outX, outY, outM] = unit(ring[2 * after] - x, ring[2 * after + 1] - y);
    const [cosine, sine] = [inX * outX + inY * outY, inX * outY - inY * outX];
    if (cosine > CORNER_COSINE || sine < 1e-3) continue;
    const [one, two] = [offsetsM[before], offsetsM[i]];
    const [footIn, footOut] = [(two - one * cosine) / sine, (one - two * cosine) / sine];
    const [alongIn, alongOut] = [Math.min(inM / 2, footIn + legM), Math.min(outM / 2, footOut + legM)];
    if (alongIn <= 0 || alongOut <= 0 || footIn <= 0 || footIn > alongIn || footOut > alongOut) continue;
    const [ax, ay] = [x - alongIn * inX, y - alongIn * inY];
    const [bx, by] = [x + alongOut * outX, y + alongOut * outY];
    patches.push(
      Float64Array.of(x, y, bx, by, bx - two * outY, by + two * outX, ax - one * inY, ay + one * inX, ax, ay),
    );
  }
  return patches;
}

function unit(dx: number, dy: number): [number, number, number] {
  const length = Math.sqrt(dx * dx + dy * dy);
  return [dx / length, dy / length, length];
}
