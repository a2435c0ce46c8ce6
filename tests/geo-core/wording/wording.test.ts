import { describe, expect, test } from 'vitest';
import { CAUTIONS } from '#geo-core/model/cautions.ts';
import { HAND_MOW_CAUSES } from '#geo-core/model/plane-plan.ts';
import { PRICE_BOOK } from '#geo-core/model/price-book.ts';
import { EN } from '#geo-core/wording/en.ts';
import { LANGUAGES, wordingFor } from '#geo-core/wording/wording.ts';

const languages = Object.entries(LANGUAGES);
const placeholders = (text: string) => [...text.matchAll(/\{(\w+)\}/g)].map(([, name]) => name).toSorted();

describe('the catalogue', () => {
  test.each(languages)('%s says everything, with the same figures in every text', (_, messages) => {
    expect(Object.keys(messages).toSorted()).toEqual(Object.keys(EN).toSorted());
    for (const [key, text] of Object.entries(messages)) {
      expect(text.trim(), key).not.toBe('');
      expect([key, ...placeholders(text)]).toEqual([key, ...placeholders(EN[key as keyof typeof EN])]);
    }
  });

  test.each(languages.filter(([language]) => language !== 'en'))(
    '%s is a translation: no text of two words or more is the English one',
    (_, messages) => {
      const same = Object.entries(EN).filter(
        ([key, text]) =>
          text === messages[key as keyof typeof EN] && /[a-z]{2,}\W+[a-z]{2,}/i.test(text.replace(/\{\w+\}/g, '')),
      );
      expect(same.map(([key]) => key)).toEqual([]);
    },
  );

  test('holds the cautions of every plan and the lines of the example price book word for word', () => {
    expect(CAUTIONS.map((_, i) => EN[`caution.${i}` as keyof typeof EN])).toEqual([...CAUTIONS]);
    for (const { code, what } of PRICE_BOOK.items) expect(EN).toHaveProperty([`item.${code}`], what);
    for (const cause of HAND_MOW_CAUSES) expect(EN).toHaveProperty([`handMow.${cause}`]);
  });
});

describe('figures and dates', () => {
  test('are written as the locale writes them', () => {
    const german = wordingFor('de-DE');
    expect(german.length(1234.56, 2)).toBe('1.234,56\u00a0m');
    expect(german.money(1234.5, 'EUR')).toBe('1.234,50\u00a0€');
    expect(german.date('2026-11-27')).toBe('27. November 2026');
    expect(german.days([1, 2, 3, 5, 7])).toBe('Mo–Mi, Fr, So');
    expect(wordingFor('sv-SE').number(1234.5)).toBe('1\u00a0234,5');
    expect(wordingFor('en-US').date('2026-11-27')).toBe('November 27, 2026');
  });

  test('are feet and square feet where the site asks for them: 0.3048 m is one foot', () => {
    const us = wordingFor('en-US', 'us');
    expect(us.length(30.48)).toBe('100.0\u00a0ft');
    expect(us.area(9.290304)).toBe('100\u00a0ft²');
  });

  test('give a currency its own decimals, a unit price more where it has them', () => {
    const { money } = wordingFor('en-US');
    expect(money(1234, 'JPY')).toBe('¥1,234');
    expect(money(0.125, 'EUR', 4)).toBe('€0.125');
    expect(money(2, 'EUR', 4)).toBe('€2.00');
  });

  test('stay in their locale where the language is not spoken, and nothing breaks on one that is unknown', () => {
    const italian = wordingFor('it-IT');
    expect([italian.language, italian.fixed(0.5, 1)]).toEqual(['en', '0,5']);
    expect(wordingFor('xx-12345').say('price.title')).toBe('Price');
    expect(wordingFor('').fixed(0.5, 1)).toBe('0.5');
  });
});
