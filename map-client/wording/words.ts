import type { MessageKey, Messages } from '#geo-core/wording/en.ts';
import type { PageKey, PageMessages } from './en.ts';

/** Each language under its own name. */
export const LANGUAGE_NAMES = {
  en: 'English',
  de: 'Deutsch',
  fr: 'Français',
  sv: 'Svenska',
  nl: 'Nederlands',
} as const;
export type Language = keyof typeof LANGUAGE_NAMES;
export const LANGUAGES: readonly Language[] = ['en', 'de', 'fr', 'sv', 'nl'];

export type WordKey = PageKey | MessageKey;
type Values = Readonly<Record<string, string | number>>;
export type Say = (key: WordKey, values?: Values) => string;

/** What the pages say in one language: their own words and those of the papers, in one catalogue. */
export type Words = {
  readonly language: Language;
  /** BCP 47, of numbers and dates. */
  readonly locale: string;
  readonly say: Say;
  /** True of a key of the catalogue: what a plan names may have a word here, or none. */
  readonly knows: (key: string) => key is WordKey;
};

type Loaded = readonly [PageMessages, Messages];

/** A page fetches the language it speaks, and no other. */
const CATALOGUES: Readonly<Record<Language, () => Promise<Loaded>>> = {
  en: async () => [(await import('./en.ts')).EN, (await import('#geo-core/wording/en.ts')).EN],
  de: async () => [(await import('./de.ts')).DE, (await import('#geo-core/wording/de.ts')).DE],
  fr: async () => [(await import('./fr.ts')).FR, (await import('#geo-core/wording/fr.ts')).FR],
  sv: async () => [(await import('./sv.ts')).SV, (await import('#geo-core/wording/sv.ts')).SV],
  nl: async () => [(await import('./nl.ts')).NL, (await import('#geo-core/wording/nl.ts')).NL],
};

/** The catalogue of a locale. Rejects where it cannot be fetched. */
export async function loadWords(locale: string): Promise<Words> {
  const language = languageOf(locale) ?? 'en';
  const [page, papers] = await CATALOGUES[language]();
  return wordsFrom(languageOf(locale) === undefined ? 'en' : locale, language, { ...papers, ...page });
}

/** The language of a BCP 47 tag, where the pages speak it. */
export function languageOf(locale: string): Language | undefined {
  const own = locale.split('-')[0].toLowerCase();
  return LANGUAGES.find((language) => language === own);
}

function wordsFrom(locale: string, language: Language, messages: Readonly<Record<WordKey, string>>): Words {
  const numbers = new Intl.NumberFormat(locale);
  const plurals = new Intl.PluralRules(locale);
  const written = (value: string | number): string => (typeof value === 'number' ? numbers.format(value) : value);
  /** `{x}`, `{n:one|several|none}` with its number, `{n#one|several}` without it. */
  const say: Say = (key, values = {}) =>
    messages[key].replace(
      /\{(\w+)(?:([:#])([^|}]*)\|([^|}]*)(?:\|([^}]*))?)?\}/g,
      (whole, name: string, way?: string, one?: string, several?: string, none?: string) => {
        const value = values[name];
        if (value === undefined) return whole;
        if (way === undefined) return written(value);
        if (value === 0 && none !== undefined) return none;
        const form = (plurals.select(Number(value)) === 'one' ? one : several) ?? '';
        return way === '#' ? form : `${written(value)} ${form}`;
      },
    );
  return { language, locale, say, knows: (key): key is WordKey => Object.hasOwn(messages, key) };
}
