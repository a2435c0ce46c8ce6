import type { PaperFrame } from './paper-frame.ts';

/** `1 : 100 on A4`; where feet are used also what an inch is. An inch is a twelfth of a foot: 1 in on paper is scale / 12 ft. */
export function scaleWords(scale: number, { wording, sheet }: Pick<PaperFrame, 'wording' | 'sheet'>): string {
  const { say, number, units } = wording;
  if (units === 'metric') return say('title.scaleOn', { scale: number(scale), sheet });
  return say('title.feetToInch', { scale: number(scale), feet: number(scale / 12), sheet });
}
