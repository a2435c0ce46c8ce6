import type { ApartM } from './least-tree.ts';

/** What is known of the things to be joined, by index. */
export type Metric = {
  /** How far two are apart in a straight line at least, metres. */
  readonly apartM: ApartM;
  /** Whatever falls apart when one joint is taken out can be joined again by ways no longer than these, metres. */
  readonly rejoinM: ApartM;
};

/** A least tree over a set (Prim), the members of `inside` being one already. */
export function spanM(set: number, inside: number, count: number, rejoinM: ApartM): number {
  const begun = inside === 0 ? set & -set : inside;
  let [sumM, left] = [0, set & ~begun];
  const nearM = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  for (let t = 0; t < count; t++) {
    if (!((left >> t) & 1)) continue;
    for (let s = 0; s < count; s++) if ((begun >> s) & 1) nearM[t] = Math.min(nearM[t], rejoinM(s, t));
  }
  while (left !== 0) {
    let next = -1;
    for (let t = 0; t < count; t++) if ((left >> t) & 1 && (next < 0 || nearM[t] < nearM[next])) next = t;
    sumM += nearM[next];
    left &= ~(1 << next);
    for (let t = 0; t < count; t++) if ((left >> t) & 1) nearM[t] = Math.min(nearM[t], rejoinM(next, t));
  }
  return sumM;
}
