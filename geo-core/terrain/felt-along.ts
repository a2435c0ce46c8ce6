import type { SlopeSurvey, Span } from '#geo-core/model/plane-plan.ts';
import type { Polyline } from '#geo-core/model/position.ts';

/** What is felt on a piece of a line, straight from one vertex or half-way mark to the next. */
export type FeltPiece = {
  /** Index of the vertex that the piece's edge starts at. */
  readonly edge: number;
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  readonly lengthM: number;
  /** Metres up a metre in the direction of the line; NaN where not known. */
  readonly along: number;
  /** Metres up a metre to the right of the line. */
  readonly toRight: number;
};

/** Finer pieces than this tell nothing new, metres. */
const LEAST_STEP_M = 0.25;

/** A line in pieces of no more than a cell of the survey, each with the rise at its middle along and across the line. */
export function feltAlong(line: Polyline, { riseAt, cellM }: SlopeSurvey): FeltPiece[] {
  const stepM = Math.max(LEAST_STEP_M, cellM);
  const pieces: FeltPiece[] = [];
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [dx, dy] = [line[i + 2] - line[i], line[i + 3] - line[i + 1]];
    const edgeM = Math.sqrt(dx * dx + dy * dy);
    if (edgeM === 0) continue;
    const count = Math.ceil(edgeM / stepM);
    const [ux, uy] = [dx / edgeM, dy / edgeM];
    for (let k = 0; k < count; k++) {
      const rise = riseAt(line[i] + ((k + 0.5) / count) * dx, line[i + 1] + ((k + 0.5) / count) * dy);
      pieces.push({
        edge: i / 2,
        ax: line[i] + (k / count) * dx,
        ay: line[i + 1] + (k / count) * dy,
        bx: line[i] + ((k + 1) / count) * dx,
        by: line[i + 1] + ((k + 1) / count) * dy,
        lengthM: edgeM / count,
        along: rise.x * ux + rise.y * uy,
        toRight: rise.x * uy - rise.y * ux,
      });
    }
  }
  return pieces;
}

/** Length on the ground, metres: every piece by the slope along it. Undefined where more than `unknownShare` of it is not known. */
export function groundLengthM(pieces: readonly FeltPiece[], unknownShare: number): number | undefined {
  let [planM, groundM, unknownM] = [0, 0, 0];
  for (const { lengthM, along } of pieces) {
    planM += lengthM;
    if (Number.isNaN(along)) unknownM += lengthM;
    groundM += Number.isNaN(along) ? lengthM : lengthM * Math.sqrt(1 + along * along);
  }
  return unknownM > unknownShare * planM ? undefined : groundM;
}

/** The same by the spans of a route (in its order), with every unknown piece as on plan. */
export function spansOnGroundM(pieces: readonly FeltPiece[], spans: readonly Span[]): Float64Array {
  const lengthsM = new Float64Array(spans.length);
  let current = 0;
  for (const { edge, lengthM, along } of pieces) {
    while (current + 1 < spans.length && spans[current].lastVertex <= edge) current++;
    lengthsM[current] += Number.isNaN(along) ? lengthM : lengthM * Math.sqrt(1 + along * along);
  }
  return lengthsM;
}
