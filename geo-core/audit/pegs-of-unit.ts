import type { Peg } from '#geo-core/model/plane-plan.ts';

/** The pegs of one signal unit by chainage: a copy only where they do not stand in that order. */
export function pegsOfUnit(pegs: readonly Peg[], signalUnit: number): readonly Peg[] {
  const own = pegs.every((peg) => peg.signalUnit === signalUnit)
    ? pegs
    : pegs.filter((peg) => peg.signalUnit === signalUnit);
  const isInOrder = own.every((peg, i) => i === 0 || own[i - 1].chainageM <= peg.chainageM);
  return isInOrder ? own : own.toSorted((a, b) => a.chainageM - b.chainageM);
}
