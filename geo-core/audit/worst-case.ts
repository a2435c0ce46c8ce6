import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';

/** Collects how far a plan strays in one respect and where it strays most. */
export type WorstCase = {
  /** A deviation of at least 0; smaller than the worst so far is forgotten. Not a number counts as beyond every limit. */
  see(deviation: number, at?: PlanePoint): void;
  /** Whether a deviation, right to `SAME_M`, may be worse than all seen: if not, its place need not be looked for. */
  mayBeWorse(deviation: number): boolean;
  check(): AuditCheck;
};

/** Two ways to measure the same distance differ by less. */
const SAME_M = 1e-12;

/** A check passes while its worst deviation stays within `limit`; with nothing to check, worst is 0. */
export function worstCase(code: string, unit: string, limit: number): WorstCase {
  let worst = 0;
  let place: PlanePoint | undefined;
  return {
    see(deviation, at) {
      const size = Number.isFinite(deviation) ? deviation : Number.MAX_VALUE;
      if (size <= worst) return;
      worst = size;
      place = at;
    },
    mayBeWorse(deviation) {
      return !(deviation + SAME_M < worst);
    },
    check() {
      return { code, passed: worst <= limit, worst, limit, unit, ...(place && { at: place }) };
    },
  };
}
