import type { FaultMeasurement, FaultPlace, MeterAccuracy, WireRecord } from './wire-record.ts';

/** A splice breaks as readily as this much wire; common practice, no source. */
const SPLICE_WEIGHS_M = 50;
/** A tone is heard where it should not be, or not where it should, once in so many times; common practice, no source. */
const TONE_IS_WRONG = 0.05;
/** A splice is called bad from this excess on, ohm: below it nobody would look for a fault. */
const LEAST_EXCESS_OHM = 0.1;

/**
 * Where the fault of a wire can be, most likely places first, probabilities adding up to 1: Bayes' rule over every stretch
 * between tested places and every splice, with all measurements taken together. A break is anywhere along the wire or at a
 * splice; a bad splice lets current through but adds resistance, fitted by weighted least squares. Meter errors count as
 * rectangular: standard uncertainty = accuracy / sqrt 3 (JCGM 100:2008, 4.3.7). No places: what was measured fits no single fault.
 */
export function locateFault(
  record: WireRecord,
  measurements: readonly FaultMeasurement[],
  accuracy: MeterAccuracy,
): FaultPlace[] {
  const places = [...breaks(record, measurements), ...badSplices(record, measurements, accuracy)];
  const total = places.reduce((sum, { probability }) => sum + probability, 0);
  if (!(total > 0)) return [];
  return places
    .filter(({ probability }) => probability > 0)
    .map((place) => ({ ...place, probability: place.probability / total }))
    .toSorted((a, b) => b.probability - a.probability || a.fromM - b.fromM);
}

/** Stretches between tested places and between splices, and the splices themselves: inside each, every measurement says the same. */
function breaks(record: WireRecord, measurements: readonly FaultMeasurement[]): FaultPlace[] {
  const { lengthM, spliceChainagesM } = record;
  const tones = measurements.flatMap((each) => (each.what === 'tone' ? [each.chainageM] : []));
  const cuts = [...new Set([0, ...spliceChainagesM, ...tones.filter((at) => at > 0 && at < lengthM), lengthM])];
  cuts.sort((a, b) => a - b);
  const stretches = cuts.slice(1).map((toM, i): FaultPlace => {
    const fromM = cuts[i];
    return { kind: 'break', fromM, toM, splice: null, probability: toM - fromM, excessOhm: null };
  });
  const splices = spliceChainagesM.map(
    (atM, splice): FaultPlace => ({
      kind: 'broken-splice',
      fromM: atM,
      toM: atM,
      splice,
      probability: SPLICE_WEIGHS_M,
      excessOhm: null,
    }),
  );
  return [...stretches, ...splices].map((place) => ({
    ...place,
    probability: measurements.reduce((p, each) => p * likelihoodOfBreak(place, each, record), place.probability),
  }));
}

function likelihoodOfBreak(place: FaultPlace, measured: FaultMeasurement, { spliceChainagesM }: WireRecord): number {
  switch (measured.what) {
    case 'loop':
      return measured.ohm === null ? 1 : 0;
    case 'opened': {
      const openedM = spliceChainagesM[measured.splice];
      if (measured.spliceIsAtFault || place.splice === measured.splice)
        return measured.spliceIsAtFault && place.splice === measured.splice ? 1 : 0;
      const isBefore = place.toM <= openedM;
      return (measured.beforeOhm === null) === isBefore && (measured.afterOhm === null) === !isBefore ? 1 : 0;
    }
    case 'tone': {
      // The tone runs from the start to the break and no farther.
      const shouldBeHeard = place.fromM >= measured.chainageM;
      return shouldBeHeard === measured.heard ? 1 - TONE_IS_WRONG : TONE_IS_WRONG;
    }
  }
}

function badSplices(
  record: WireRecord,
  measurements: readonly FaultMeasurement[],
  accuracy: MeterAccuracy,
): FaultPlace[] {
  return record.spliceChainagesM.flatMap((atM, splice): FaultPlace[] => {
    const fit = fitExcess(record, splice, measurements, accuracy);
    if (fit === undefined || fit.excessOhm < LEAST_EXCESS_OHM) return [];
    return [
      {
        kind: 'bad-splice',
        fromM: atM,
        toM: atM,
        splice,
        probability: SPLICE_WEIGHS_M * fit.likelihood,
        excessOhm: fit.excessOhm,
      },
    ];
  });
}

type Reading = { readonly overOhm: number; readonly sees: boolean; readonly sigmaOhm: number };

/** The excess of one splice that fits all resistances best, and how well it does; undefined where a circuit was open, or a look says no. */
function fitExcess(
  record: WireRecord,
  splice: number,
  measurements: readonly FaultMeasurement[],
  accuracy: MeterAccuracy,
): { excessOhm: number; likelihood: number } | undefined {
  const readings: Reading[] = [];
  for (const measured of measurements) {
    if (measured.what === 'tone') continue;
    if (measured.what === 'opened' && measured.spliceIsAtFault !== (measured.splice === splice)) return undefined;
    for (const { ohm, fromM, toM } of circuits(measured, record)) {
      if (ohm === null) return undefined;
      const soundOhm = soundBetweenOhm(record, fromM, toM);
      const at = record.spliceChainagesM[splice];
      const sigmaOhm = ((accuracy.readingPct / 100) * ohm + accuracy.ohm) / Math.sqrt(3);
      readings.push({ overOhm: ohm - soundOhm, sees: at > fromM && at < toM, sigmaOhm });
    }
  }
  const seeing = readings.filter(({ sees }) => sees);
  const weight = seeing.reduce((sum, { sigmaOhm }) => sum + 1 / sigmaOhm ** 2, 0);
  const excessOhm =
    weight === 0
      ? LEAST_EXCESS_OHM
      : seeing.reduce((sum, { overOhm, sigmaOhm }) => sum + overOhm / sigmaOhm ** 2, 0) / weight;
  const misfit = readings.reduce(
    (sum, { overOhm, sees, sigmaOhm }) => sum + ((overOhm - (sees ? excessOhm : 0)) / sigmaOhm) ** 2,
    0,
  );
  return { excessOhm, likelihood: Math.exp(-misfit / 2) };
}

type Circuit = { readonly ohm: number | null; readonly fromM: number; readonly toM: number };

function circuits(measured: Exclude<FaultMeasurement, { what: 'tone' }>, record: WireRecord): readonly Circuit[] {
  const { lengthM, spliceChainagesM } = record;
  if (measured.what === 'loop') return [{ ohm: measured.ohm, fromM: 0, toM: lengthM }];
  const openedM = spliceChainagesM[measured.splice];
  return [
    { ohm: measured.beforeOhm, fromM: 0, toM: openedM },
    { ohm: measured.afterOhm, fromM: openedM, toM: lengthM },
  ];
}

/** Resistance of a sound piece of the wire, its splices included (an opened one at its end not). */
export function soundBetweenOhm(
  { ohmPerM, spliceOhm, spliceChainagesM }: WireRecord,
  fromM: number,
  toM: number,
): number {
  const inside = spliceChainagesM.filter((atM) => atM > fromM && atM < toM).length;
  return (toM - fromM) * ohmPerM + inside * spliceOhm;
}
