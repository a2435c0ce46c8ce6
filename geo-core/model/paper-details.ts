/** Sheets that papers are printed on. */
export const SHEET_SIZES = ['A4', 'Letter'] as const;
export type SheetSize = (typeof SHEET_SIZES)[number];

/** How a firm shows itself on its papers. */
export type FirmProfile = {
  readonly name?: string;
  /** Address, telephone, register number: one line each. */
  readonly lines?: readonly string[];
  /** `data:image/png;base64,...` or `data:image/jpeg;base64,...`. */
  readonly logo?: string;
  /** `#rrggbb`, of titles and rules. */
  readonly colour?: string;
};

/** What papers say beside the plan: the site's member `papers`. */
export type PaperDetails = {
  /** A profile, or the id of one that is kept. */
  readonly firm?: FirmProfile | string;
  readonly customer?: { readonly name: string; readonly lines?: readonly string[] };
  readonly number?: string;
  /** Of the proposal, YYYY-MM-DD; without it the day it is written. */
  readonly date?: string;
  readonly validDays?: number;
  readonly sheet?: SheetSize;
  /** Planned besides, each by rules of its own (as a site has them, not yet checked), and set side by side. */
  readonly options?: readonly { readonly name: string; readonly rules: unknown }[];
};
