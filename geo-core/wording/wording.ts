import { FOOT_M } from '#geo-core/model/foot.ts';
import { DE } from './de.ts';
import { EN, type MessageKey, type Messages } from './en.ts';
import { FR } from './fr.ts';
import { NL } from './nl.ts';
import { SV } from './sv.ts';

/** The languages of papers and drawings, complete in each other. */
export const LANGUAGES = { en: EN, de: DE, fr: FR, sv: SV, nl: NL } as const satisfies Record<string, Messages>;
type Language = keyof typeof LANGUAGES;

export type Units = 'metric' | 'us';

/** Words and figures of one locale: texts out of the catalogue, numbers, dates and money by Intl, metres or feet. */
export type Wording = {
  readonly language: Language;
  /** BCP 47, of numbers and dates. */
  readonly locale: string;
  readonly units: Units;
  readonly say: (key: MessageKey, values?: Readonly<Record<string, string | number>>) => string;
  /** As few decimals as it needs, at most `placesMax`. */
  readonly number: (value: number, placesMax?: number) => string;
  readonly fixed: (value: number, places: number) => string;
  readonly length: (lengthM: number, places?: number) => string;
  /** Without its unit, in metres or feet: for columns of figures. */
  readonly lengthFigure: (lengthM: number, places: number) => string;
  readonly lengthUnit: 'm' | 'ft';
  readonly area: (areaM2: number, places?: number) => string;
  readonly hours: (hours: number) => string;
  readonly percent: (pct: number) => string;
  readonly money: (amount: number, currency: string, placesMax?: number) => string;
  /** A calendar day given as YYYY-MM-DD. */
  readonly date: (isoDate: string) => string;
  /** 1 Monday to 7 Sunday: the days of a list, runs of three and more from first to last. */
  readonly days: (days: readonly number[]) => string;
};

/** Holds a figure and its unit together. */
const NBSP = '\u00a0';

/** The wording of a locale: its language where papers speak it, else English; its own numbers and dates in any case. */
export function wordingFor(locale: string, units: Units = 'metric'): Wording {
  const own = locale.slice(0, locale.search(/-|$/)).toLowerCase();
  const language = isLanguage(own) ? own : 'en';
  const tag = supported(locale) ? locale : language;
  const messages: Messages = LANGUAGES[language];
  const isUs = units === 'us';
  const number = (value: number, placesMax = 2) =>
    new Intl.NumberFormat(tag, { maximumFractionDigits: placesMax }).format(value);
  const fixed = (value: number, places: number) =>
    new Intl.NumberFormat(tag, { minimumFractionDigits: places, maximumFractionDigits: places }).format(value);
  const lengthFigure = (lengthM: number, places: number) => fixed(isUs ? lengthM / FOOT_M : lengthM, places);
  const lengthUnit = isUs ? 'ft' : 'm';
  return {
    language,
    locale: tag,
    units,
    say: (key, values = {}) =>
      messages[key].replace(/\{(\w+)\}/g, (whole, name: string) => String(values[name] ?? whole)),
    number,
    fixed,
    lengthFigure,
    lengthUnit,
    length: (lengthM, places = 1) => `${lengthFigure(lengthM, places)}${NBSP}${lengthUnit}`,
    area: (areaM2, places = 1) =>
      isUs ? `${fixed(areaM2 / (FOOT_M * FOOT_M), 0)}${NBSP}ft²` : `${fixed(areaM2, places)}${NBSP}m²`,
    hours: (hours) => `${fixed(hours, 1)}${NBSP}h`,
    percent: (pct) => `${number(pct)}${NBSP}%`,
    money: (amount, currency, placesMax) => money(tag, amount, currency, placesMax),
    date: (isoDate) =>
      new Intl.DateTimeFormat(tag, { dateStyle: 'long', timeZone: 'UTC' }).format(new Date(`${isoDate}T00:00:00Z`)),
    days: (days) => daysInWords(tag, days),
  };
}

function isLanguage(text: string): text is Language {
  return Object.hasOwn(LANGUAGES, text);
}

function supported(locale: string): boolean {
  try {
    return Intl.NumberFormat.supportedLocalesOf([locale]).length > 0;
  } catch {
    return false;
  }
}

/** ISO 4217 decides the decimals; a unit price may have more. */
function money(tag: string, amount: number, currency: string, placesMax: number | undefined): string {
  const usual = new Intl.NumberFormat(tag, { style: 'currency', currency });
  if (placesMax === undefined) return usual.format(amount);
  const places = usual.resolvedOptions().minimumFractionDigits ?? 2;
  return new Intl.NumberFormat(tag, {
    style: 'currency',
    currency,
    minimumFractionDigits: places,
    maximumFractionDigits: Math.max(places, placesMax),
  }).format(amount);
}

/** 1 January 2024 was a Monday. */
function daysInWords(tag: string, days: readonly number[]): string {
  const format = new Intl.DateTimeFormat(tag, { weekday: 'short', timeZone: 'UTC' });
  const name = (day: number) => format.format(new Date(Date.UTC(2024, 0, day)));
  const sorted = [...new Set(days)].sort((a, b) => a - b);
  const runs: number[][] = [];
  for (const day of sorted) {
    const run = runs.at(-1);
    if (run !== undefined && run[run.length - 1] === day - 1) run.push(day);
    else runs.push([day]);
  }
  return runs
    .flatMap((run) => (run.length > 2 ? [`${name(run[0])}–${name(run[run.length - 1])}`] : run.map(name)))
    .join(', ');
}
