/** What the as-built record says about one closed wire from the station and back to it. */
export type WireRecord = {
  readonly lengthM: number;
  /** At the temperature of the measurements. */
  readonly ohmPerM: number;
  /** Of one sound splice. */
  readonly spliceOhm: number;
  /** Chainages of all splices that can be opened, ascending, strictly between 0 and `lengthM`. */
  readonly spliceChainagesM: readonly number[];
};

/** A meter's accuracy as its data sheet gives it: so many percent of the reading plus so many ohms. */
export type MeterAccuracy = { readonly readingPct: number; readonly ohm: number };

/** What was measured with the machine's signal unit switched off and both ends loose. `null` ohm = open: no current flows. */
export type FaultMeasurement =
  | { readonly what: 'loop'; readonly ohm: number | null }
  /** A splice was opened and looked at: resistance of the wire before and after it, and whether the splice itself is at fault. */
  | {
      readonly what: 'opened';
      readonly splice: number;
      readonly beforeOhm: number | null;
      readonly afterOhm: number | null;
      readonly spliceIsAtFault: boolean;
    }
  /** A tone sent in at the start of the wire was heard at this place, or not. */
  | { readonly what: 'tone'; readonly chainageM: number; readonly heard: boolean };

/** A place where the fault can be, and how likely that is. A point where `fromM` = `toM`. */
export type FaultPlace = {
  readonly kind: 'break' | 'broken-splice' | 'bad-splice';
  readonly fromM: number;
  readonly toM: number;
  /** Index into `spliceChainagesM`, where the fault is a splice. */
  readonly splice: number | null;
  readonly probability: number;
  /** Of a bad splice: what it adds to the resistance, best estimate. */
  readonly excessOhm: number | null;
};
