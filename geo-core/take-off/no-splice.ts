import type { Passage, Route } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { LaidStretch } from '#geo-core/model/take-off.ts';
import type { Stretch } from '#geo-core/plane/stretches-inside.ts';
import { stretchesNear } from '#geo-core/plane/stretches-near.ts';

/** Room that whoever makes a splice needs beside paving and passages, metres; common practice, no source. */
const ROOM_M = 0.1;

/**
 * Where a route may not be spliced, by chainage, ascending and apart: under crossings, in passages (within half the width that is mown of
 * their centre line, and nowhere are their wires farther from it) and at the station, as far as its straight wire and its spare ends reach. A
 * splice there could not be got at, or would be driven over all day (common practice, no source).
 */
export function noSplice(
  { signalUnit, lengthM, line, chainageM }: Route,
  stretches: readonly LaidStretch[],
  passages: readonly Passage[],
  rules: Rules,
): Stretch[] {
  const straightM = Math.max(rules.stationStraightBeforeM, rules.stationStraightBehindM);
  const stationM = Math.min(lengthM / 2, Math.max(straightM, rules.endSpareM));
  const crossed = stretches.filter((one) => one.signalUnit === signalUnit && one.over === 'crossing');
  const passed = stretchesNear(
    line,
    chainageM,
    passages.map(({ centreLine }) => centreLine),
    rules.mowWidthM / 2,
  );
  const barred = [...crossed, ...passed].map(({ fromM, toM }) => ({ fromM: fromM - ROOM_M, toM: toM + ROOM_M }));
  return joined([{ fromM: 0, toM: stationM }, ...barred, { fromM: lengthM - stationM, toM: lengthM }], lengthM);
}

function joined(stretches: readonly Stretch[], lengthM: number): Stretch[] {
  const result: { fromM: number; toM: number }[] = [];
  for (const { fromM, toM } of stretches.toSorted((a, b) => a.fromM - b.fromM)) {
    const last = result[result.length - 1];
    if (last !== undefined && fromM <= last.toM) last.toM = Math.min(lengthM, Math.max(last.toM, toM));
    else result.push({ fromM: Math.max(0, fromM), toM: Math.min(lengthM, toM) });
  }
  return result;
}
