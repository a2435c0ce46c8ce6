import { expect, test } from 'vitest';
import { isCurrency, minorUnits } from '#geo-core/model/currency.ts';

/**
 * The engine's list holds withdrawn currencies, too; where Unicode's decimals follow cash and not ISO 4217 the engine differs, so only
 * currencies with three decimals, and those without any by both, are compared.
 */
const OF_THE_ENGINE = Intl.supportedValuesOf('currency');
const engineDecimals = (currency: string): number | undefined =>
  new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions().maximumFractionDigits;
const WITHDRAWN = 'ANG CUC HRK SLL ZWL'.split(' ');
/** Units of account that nobody pays with. */
const ACCOUNTS = 'XDR XSU'.split(' ');

test('every currency that the engine knows, but for withdrawn ones and units of account, is known', () => {
  expect(OF_THE_ENGINE.filter((code) => !isCurrency(code) && ![...WITHDRAWN, ...ACCOUNTS].includes(code))).toEqual([]);
});

test('three decimals where the engine has three, none where ISO 4217 has none', () => {
  const three = OF_THE_ENGINE.filter((code) => isCurrency(code) && engineDecimals(code) === 3);
  expect(three.map((code) => [code, minorUnits(code)])).toEqual(three.map((code) => [code, 3]));
  const none = OF_THE_ENGINE.filter((code) => isCurrency(code) && minorUnits(code) === 0);
  expect(none.map((code) => [code, engineDecimals(code)])).toEqual(none.map((code) => [code, 0]));
  expect(none).toHaveLength(16);
});

test('yen has no decimals, dollar and euro two, the Kuwaiti dinar three; what nobody knows two', () => {
  expect(['JPY', 'USD', 'EUR', 'KWD', 'QQQ'].map(minorUnits)).toEqual([0, 2, 2, 3, 2]);
  expect(isCurrency('QQQ')).toBe(false);
});
