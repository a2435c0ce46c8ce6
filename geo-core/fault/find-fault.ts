import { temperatureFactor } from '#geo-core/field/conductor.ts';
import type { PlanFinding, Position } from '#geo-core/model/plan.ts';
import { cutByChainage } from './cut-by-chainage.ts';
import { locateFault } from './locate-fault.ts';
import { nextOpening } from './next-opening.ts';
import type { FaultMeasurement, FaultPlace, MeterAccuracy, WireRecord } from './wire-record.ts';

/** The wire of one signal unit as a plan or a record of what was laid gives it. */
export type RecordedRoute = {
  readonly signalUnit: number;
  readonly lengthM: number;
  /** Of the whole wire at 20 degrees Celsius. */
  readonly resistanceOhm: number;
  readonly geometry:
    | { readonly type: 'LineString'; readonly coordinates: readonly Position[] }
    | { readonly type: 'MultiLineString'; readonly coordinates: readonly (readonly Position[])[] };
  /** One for each position. */
  readonly chainageM: readonly number[];
  readonly splices: readonly { readonly id: string; readonly chainageM: number }[];
};

/** A measurement as the technician says it: splices by their ids. */
type SaidMeasurement =
  | Exclude<FaultMeasurement, { what: 'opened' }>
  | (Omit<Extract<FaultMeasurement, { what: 'opened' }>, 'splice'> & { readonly splice: string });

export type FaultQuestion = {
  readonly route: RecordedRoute;
  readonly measurements: readonly SaidMeasurement[];
  readonly accuracy: MeterAccuracy;
  readonly temperatureC: number;
  /** Of one sound splice. */
  readonly spliceOhm: number;
};

type FaultFeature = {
  readonly type: 'Feature';
  readonly id: string;
  readonly geometry:
    | { readonly type: 'Point'; readonly coordinates: Position }
    | { readonly type: 'LineString'; readonly coordinates: readonly Position[] }
    | { readonly type: 'MultiLineString'; readonly coordinates: readonly (readonly Position[])[] };
  readonly properties:
    | ({ readonly kind: 'fault-place'; readonly cause: FaultPlace['kind']; readonly splice: string | null } & Pick<
        FaultPlace,
        'fromM' | 'toM' | 'probability' | 'excessOhm'
      >)
    | { readonly kind: 'next-opening'; readonly splice: string; readonly chainageM: number };
};

/** RFC 7946: places where the fault can be, most likely first, and the splice to open next. */
export type FaultSearch = {
  readonly type: 'FeatureCollection';
  readonly features: readonly FaultFeature[];
  readonly search: {
    readonly signalUnit: number;
    readonly soundLoopOhm: number;
    readonly placesLeft: number;
    /** Never more than this many more splices have to be opened. */
    readonly openingsAtMost: number;
  };
  readonly findings: readonly PlanFinding[];
  readonly cautions: readonly string[];
};

/** Places less likely than this are not worth a line. */
const WORTH_SAYING = 1e-3;
const CAUTIONS = [
  "Switch the station off, pull its plug and loosen both ends of the wire before measuring: the meter's and the machine's manual come first.",
  'Work on the supply side of the station is for a licensed electrician.',
];

/** A recorded wire and what was measured on it -> where its fault can be, on the map, and which splice to open next. */
export function findFault({ route, measurements, accuracy, temperatureC, spliceOhm }: FaultQuestion): FaultSearch {
  const splices = route.splices.toSorted((a, b) => a.chainageM - b.chainageM);
  const record: WireRecord = {
    lengthM: route.lengthM,
    ohmPerM: (route.resistanceOhm / route.lengthM) * temperatureFactor(temperatureC),
    spliceOhm,
    spliceChainagesM: splices.map(({ chainageM }) => chainageM),
  };
  const places = locateFault(record, measurements.map(numbered(splices)), accuracy);
  const next = nextOpening(record, places);
  const cut = cutByChainage(route);
  const said = places.filter(({ probability }) => probability >= WORTH_SAYING);
  return {
    type: 'FeatureCollection',
    features: [
      ...said.map(
        ({ kind, splice, ...figures }, i): FaultFeature => ({
          type: 'Feature',
          id: `fault-place-${i + 1}`,
          geometry: cut(figures.fromM, figures.toM),
          properties: {
            kind: 'fault-place',
            cause: kind,
            splice: splice === null ? null : splices[splice].id,
            ...figures,
          },
        }),
      ),
      ...(next === undefined
        ? []
        : [
            {
              type: 'Feature' as const,
              id: 'next-opening',
              geometry: cut(next.chainageM, next.chainageM),
              properties: {
                kind: 'next-opening' as const,
                splice: splices[next.splice].id,
                chainageM: next.chainageM,
              },
            },
          ]),
    ],
    search: {
      signalUnit: route.signalUnit,
      soundLoopOhm: record.ohmPerM * record.lengthM + spliceOhm * splices.length,
      placesLeft: said.length,
      openingsAtMost: said.length > 1 && next !== undefined ? Math.ceil(Math.log2(said.length)) : 0,
    },
    findings: findingsOn(said, next !== undefined),
    cautions: CAUTIONS,
  };
}

function numbered(splices: RecordedRoute['splices']): (said: SaidMeasurement) => FaultMeasurement {
  return (said) =>
    said.what === 'opened' ? { ...said, splice: splices.findIndex(({ id }) => id === said.splice) } : said;
}

function findingsOn(places: readonly FaultPlace[], isOpeningLeft: boolean): PlanFinding[] {
  const common = { value: null, limit: null, unit: null, at: null, subject: null };
  if (places.length === 0) {
    return [
      {
        ...common,
        code: 'find-fault.fits-nothing',
        severity: 'caution',
        message: 'No single fault of this wire explains all that was measured.',
        advice: 'Measure again with both ends loose; else there are two faults, or the wire is not the one recorded.',
      },
    ];
  }
  if (places.length === 1 || isOpeningLeft) return [];
  return [
    {
      ...common,
      code: 'find-fault.no-splice-tells',
      severity: 'note',
      message: `${places.length} places are left and opening a splice would not tell them apart.`,
      advice: 'Walk the likeliest stretch with a tone in the wire, and dig where it ends.',
    },
  ];
}
