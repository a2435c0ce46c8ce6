import type { Ink } from '../ink.ts';

type WashName = { readonly [Name in keyof Ink]: Name }[Exclude<keyof Ink, 'name'>];

/** How a line of the key shows what it means; drawn with the same textures and marks as the sheet. */
export type Swatch =
  | { readonly type: 'wash'; readonly wash: WashName; readonly texture: string | null; readonly outline?: number }
  | { readonly type: 'edge'; readonly texture: string }
  | { readonly type: 'mark'; readonly mark: string }
  | { readonly type: 'double' }
  | {
      readonly type: 'line';
      readonly width: number;
      readonly tone: 'line' | 'soft';
      readonly dash?: readonly number[];
      readonly mark?: string;
    };
