import type { Field } from './placement.ts';

/** A3 across, millimetres: the field of the drawing on the left, the margin on the right. */
export const SHEET = { width: 420, height: 297, frame: 8, margin: 96 } as const;
export const FIELD = {
  x: SHEET.frame,
  y: SHEET.frame,
  width: SHEET.width - 2 * SHEET.frame - SHEET.margin,
  height: SHEET.height - 2 * SHEET.frame,
} as const satisfies Field;
