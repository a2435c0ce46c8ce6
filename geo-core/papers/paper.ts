import type { MarkUp } from '#geo-core/formats/drawing/mark-up.ts';
import type { FirmProfile, SheetSize } from '#geo-core/model/paper-details.ts';

/** A paper before it is a page or a PDF: blocks in reading order. All text is plain; whoever writes it makes it safe. */
export type Paper = {
  readonly title: string;
  /** At the top of every page but the first. */
  readonly runningHead: string;
  /** `Page {page} of {pages}` in the paper's language. */
  readonly pageWords: string;
  /** BCP 47. */
  readonly language: string;
  readonly sheet: SheetSize;
  readonly isoDate: string;
  readonly firm: Required<Pick<FirmProfile, 'name' | 'lines'>> & Pick<FirmProfile, 'logo'>;
  /** `#rrggbb` that can be read on white. */
  readonly accent: string;
  readonly blocks: readonly Block[];
};

export type Block =
  | { readonly kind: 'title'; readonly over: string; readonly title: string; readonly under: string }
  | { readonly kind: 'heading'; readonly text: string }
  | {
      readonly kind: 'paragraph';
      readonly text: string;
      readonly tone: 'plain' | 'soft' | 'alert';
    }
  /** Small names over values, side by side. */
  | { readonly kind: 'facts'; readonly facts: readonly Fact[] }
  /** The figures that matter, large. */
  | { readonly kind: 'figures'; readonly facts: readonly Fact[] }
  | { readonly kind: 'list'; readonly mark: 'dash' | 'box'; readonly items: readonly ListItem[] }
  | { readonly kind: 'table'; readonly columns: readonly Column[]; readonly rows: readonly Row[] }
  | DrawingBlock
  /** Lines to write on. */
  | { readonly kind: 'signatures'; readonly labels: readonly string[] }
  | { readonly kind: 'break' };

export type Fact = { readonly name: string; readonly value: string };
export type ListItem = {
  /** In front of the text instead of the mark. */
  readonly number?: string;
  readonly text: string;
  readonly soft?: string;
  readonly isSmall?: boolean;
  /** BCP 47, where it is not that of the paper. */
  readonly language?: string;
};
type Column = {
  readonly title: string;
  /** Of the width; all shares are counted together. */
  readonly share: number;
  readonly align: 'start' | 'end';
};
export type Row = {
  readonly cells: readonly string[];
  /** `sum` and `total` are set off; `group` is a heading among the rows, in its first cell. */
  readonly role: 'plain' | 'sum' | 'total' | 'group';
};
export type DrawingBlock = {
  readonly kind: 'drawing';
  /** Millimetres from its upper left corner. */
  readonly marks: readonly MarkUp[];
  readonly widthMm: number;
  readonly heightMm: number;
  /** Said in place of the drawing. */
  readonly alternative: string;
  /** `landscape`: alone on a page across. */
  readonly page: 'in-text' | 'landscape';
};

export const SHEET_MM: Readonly<Record<SheetSize, { readonly width: number; readonly height: number }>> = {
  A4: { width: 210, height: 297 },
  Letter: { width: 215.9, height: 279.4 },
};
/** Margins of a page across and upright, millimetres. */
export const MARGIN_MM = { upright: 18, across: 12 } as const;
/** Of a page across, under the running head. */
export const HEAD_MM = 7;
