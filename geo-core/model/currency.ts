/**
 * Currencies in use by ISO 4217 (list one, from memory), without funds, metals and test codes, and how many decimals their minor unit
 * has: two, unless a list below says otherwise. `tests/geo-core/model/currency.test.ts` holds both against Unicode's tables.
 */
const TWO =
  'AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC CUP CVE CZK DKK ' +
  'DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP ' +
  'LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD ' +
  'RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD ' +
  'XCG YER ZAR ZMW ZWG';
const NONE = 'BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF';
const THREE = 'BHD IQD JOD KWD LYD OMR TND';

const DECIMALS: ReadonlyMap<string, number> = new Map(
  (
    [
      [TWO, 2],
      [NONE, 0],
      [THREE, 3],
    ] as const
  ).flatMap(([codes, decimals]) => codes.split(' ').map((code) => [code, decimals] as const)),
);

/** Is this three-letter code a currency in use? */
export function isCurrency(code: string): boolean {
  return DECIMALS.has(code);
}

/** Decimals of the minor unit; 2 for a code that nobody knows. */
export function minorUnits(code: string): number {
  return DECIMALS.get(code) ?? 2;
}
