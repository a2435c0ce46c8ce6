import { FOOT_M } from '#geo-core/model/foot.ts';
/** Writes quantities as words and numerals for one locale: metric, or US customary where the site asks for it. */
export type Figures = {
  readonly lengthUnit: 'm' | 'ft';
  /** Metres as a number of the unit, for fields that people write in, and back. */
  readonly toLength: (lengthM: number) => number;
  readonly fromLength: (value: number) => number;
  readonly length: (lengthM: number) => string;
  /** A round length, with as few decimals as it needs. */
  readonly roundLength: (lengthM: number) => string;
  /** To the centimetre, for drawing. */
  readonly exactLength: (lengthM: number) => string;
  readonly area: (areaM2: number) => string;
  /** With one decimal, for drawing. */
  readonly exactArea: (areaM2: number) => string;
  readonly hours: (hours: number) => string;
  readonly percent: (pct: number) => string;
  readonly count: (count: number) => string;
  readonly decimals: (value: number, places: number) => string;
  readonly price: (amount: number, currency: string) => string;
  /** To the last decimal of the currency (ISO 4217), for the lines of a bill. */
  readonly exactPrice: (amount: number, currency: string) => string;
  readonly ohm: (ohm: number) => string;
};

export function createFigures(locale: string, units: 'metric' | 'us'): Figures {
  const tag = Intl.NumberFormat.supportedLocalesOf([locale]).length > 0 ? locale : 'en';
  const digits = (value: number, fraction: number): string =>
    new Intl.NumberFormat(tag, { minimumFractionDigits: fraction, maximumFractionDigits: fraction }).format(value);
  const unitM = units === 'us' ? FOOT_M : 1;
  return {
    lengthUnit: units === 'us' ? 'ft' : 'm',
    toLength: (lengthM) => lengthM / unitM,
    fromLength: (value) => value * unitM,
    decimals: digits,
    length: (lengthM) => {
      const value = units === 'us' ? lengthM / FOOT_M : lengthM;
      return `${digits(value, value !== 0 && Math.abs(value) < 10 ? 2 : 0)}\u00a0${units === 'us' ? 'ft' : 'm'}`;
    },
    roundLength: (lengthM) => {
      const value = units === 'us' ? lengthM / FOOT_M : lengthM;
      const round = new Intl.NumberFormat(tag, { maximumSignificantDigits: 3 }).format(value);
      return `${round}\u00a0${units === 'us' ? 'ft' : 'm'}`;
    },
    exactLength: (lengthM) =>
      `${digits(units === 'us' ? lengthM / FOOT_M : lengthM, 2)}\u00a0${units === 'us' ? 'ft' : 'm'}`,
    exactArea: (areaM2) =>
      `${digits(units === 'us' ? areaM2 / (FOOT_M * FOOT_M) : areaM2, 1)}\u00a0${units === 'us' ? 'ft²' : 'm²'}`,
    area: (areaM2) => {
      const value = units === 'us' ? areaM2 / (FOOT_M * FOOT_M) : areaM2;
      return `${digits(value, value !== 0 && Math.abs(value) < 10 ? 1 : 0)}\u00a0${units === 'us' ? 'ft²' : 'm²'}`;
    },
    hours: (hours) => `${digits(hours, 1)}\u00a0h`,
    percent: (pct) => `${digits(pct, 0)}\u00a0%`,
    count: (count) => digits(count, 0),
    price: (amount, currency) =>
      new Intl.NumberFormat(tag, { style: 'currency', currency, maximumFractionDigits: 0 }).format(amount),
    exactPrice: (amount, currency) => new Intl.NumberFormat(tag, { style: 'currency', currency }).format(amount),
    ohm: (ohm) => `${digits(ohm, 2)}\u00a0Ω`,
  };
}
