import type { FirmProfile, SheetSize } from '#geo-core/model/paper-details.ts';
import { type Wording, wordingFor } from '#geo-core/wording/wording.ts';
import { accentFor } from './accent.ts';
import type { Handover } from './handover.ts';
import type { Paper } from './paper.ts';

export type PaperFrame = Omit<Paper, 'title' | 'runningHead' | 'blocks'> & {
  readonly wording: Wording;
  readonly siteName: string;
};

/** What all papers of a site have in common: firm, colour, sheet, date, language. */
export function paperFrame({ plan, site, units, details, today }: Handover): PaperFrame {
  const wording = wordingFor(site.locale ?? 'en', units);
  const firm: FirmProfile = typeof details.firm === 'object' ? details.firm : {};
  const { logo } = firm;
  return {
    wording,
    siteName: plan.name ?? wording.say('title.garden'),
    pageWords: wording.say('page.of'),
    language: wording.language === wording.locale.slice(0, 2) ? wording.locale : wording.language,
    sheet: details.sheet ?? sheetFor(wording.locale, units),
    isoDate: details.date ?? today,
    firm: {
      name: firm.name ?? wording.say('proposal.noFirm'),
      lines: firm.lines ?? [],
      ...(logo !== undefined && { logo }),
    },
    accent: accentFor(firm.colour),
  };
}

/** Letter where feet are used and in North America, A4 (ISO 216) elsewhere. */
function sheetFor(locale: string, units: 'metric' | 'us'): SheetSize {
  return units === 'us' || /-(US|CA)$/i.test(locale) ? 'Letter' : 'A4';
}

/** The day `days` after a day, both YYYY-MM-DD. */
export function dayAfter(isoDate: string, days: number): string {
  return new Date(Date.parse(`${isoDate}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
}
