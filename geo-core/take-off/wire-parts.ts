import type { JoinedRoute, Route, SlopeCheck } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { WireOrder, WirePart } from '#geo-core/model/take-off.ts';

/** A corner is a turn of 30 degrees or more (common practice, no source): its cosine, squared. */
const CORNER_COSINE_2 = 0.75;

/** Wire of every loop and lead of a route, in plan and on the ground, with the corners along it, in the order in which they are met. */
export function wireParts({ routes }: JoinedRoute, slopeCheck: SlopeCheck | undefined): WirePart[] {
  return routes.flatMap((route, i) => partsOf(route, slopeCheck?.spansOnGroundM[i]));
}

function partsOf({ signalUnit, spans, line, chainageM }: Route, onGroundM: Float64Array | undefined): WirePart[] {
  type Sum = { -readonly [Key in keyof WirePart]: WirePart[Key] };
  const parts = new Map<string, Sum>();
  spans.forEach(({ of, id, firstVertex, lastVertex }, i) => {
    const known = onGroundM === undefined ? null : 0;
    const part = parts.get(id) ?? { signalUnit, of, id, lengthM: 0, groundLengthM: known, corners: 0 };
    parts.set(id, part);
    part.lengthM += chainageM[lastVertex] - chainageM[firstVertex];
    if (onGroundM !== undefined && part.groundLengthM !== null) part.groundLengthM += onGroundM[i];
    // The corner where it ends counts, that where it begins is the one before; the ends of the wire are none.
    for (let v = firstVertex + 1; v <= Math.min(lastVertex, chainageM.length - 2); v++)
      if (turnsAt(line, v)) part.corners++;
  });
  return [...parts.values()];
}

function turnsAt(line: Float64Array, vertex: number): boolean {
  const [ux, uy] = [line[2 * vertex] - line[2 * vertex - 2], line[2 * vertex + 1] - line[2 * vertex - 1]];
  const [vx, vy] = [line[2 * vertex + 2] - line[2 * vertex], line[2 * vertex + 3] - line[2 * vertex + 1]];
  const dot = ux * vx + uy * vy;
  return dot <= 0 || dot * dot <= CORNER_COSINE_2 * (ux * ux + uy * uy) * (vx * vx + vy * vy);
}

/** A part as it is cut from the spool, without the reserve: on the ground where that is known, and slack for its corners; metres. */
export function partNeedM({ lengthM, groundLengthM, corners }: WirePart, { cornerSpareM }: Rules): number {
  return (groundLengthM ?? lengthM) + corners * cornerSpareM;
}

/** What to order for every route. */
export function wireOrders({ routes }: JoinedRoute, parts: readonly WirePart[], rules: Rules): WireOrder[] {
  return routes.map(({ signalUnit, lengthM }) => {
    const own = parts.filter((part) => part.signalUnit === signalUnit);
    const isKnown = own.every(({ groundLengthM }) => groundLengthM !== null);
    const groundLengthM = isKnown ? own.reduce((sum, part) => sum + (part.groundLengthM ?? 0), 0) : null;
    const cornersM = rules.cornerSpareM * own.reduce((sum, { corners }) => sum + corners, 0);
    const endsM = 2 * rules.endSpareM;
    const neededM = (groundLengthM ?? lengthM) + cornersM + endsM;
    const reserveM = (neededM * rules.reservePct) / 100;
    return { signalUnit, lengthM, groundLengthM, cornersM, endsM, reserveM, orderM: neededM + reserveM };
  });
}
