import type { Severity } from './finding.ts';
import type {
  Arrangement,
  CarryTime,
  Connectivity,
  HAND_MOW_CAUSES,
  ScheduleEntry,
  SeasonWeek,
  StationCandidate,
} from './plane-plan.ts';
import type { Rules } from './rules.ts';
import type { TakeOff } from './take-off.ts';

/** The plan on the wire: one RFC 7946 FeatureCollection. Lengths are metres, areas square metres, whatever `units` says. */

export const PLAN_KINDS = [
  'working-area',
  'route',
  'boundary-loop',
  'keep-out-loop',
  'bay',
  'lead',
  'zone',
  'passage',
  'station',
  'station-candidate',
  'supply-cable',
  'peg',
  'splice',
  'hand-mow',
  'steep',
  'weak-signal',
] as const;
export type PlanKind = (typeof PLAN_KINDS)[number];

/** Longitude and latitude, degrees (WGS 84). */
export type Position = readonly [number, number];
export type PlanGeometry =
  | { readonly type: 'Point'; readonly coordinates: Position }
  | { readonly type: 'LineString'; readonly coordinates: readonly Position[] }
  | { readonly type: 'MultiLineString'; readonly coordinates: readonly (readonly Position[])[] }
  | { readonly type: 'Polygon'; readonly coordinates: readonly (readonly Position[])[] }
  | { readonly type: 'MultiPolygon'; readonly coordinates: readonly (readonly (readonly Position[])[])[] };

export type AreaFigures = { readonly areaM2: number; readonly perimeterM: number };

/** How a keep-out is kept, wire and costs in metres of wire (`Arrangement`). */
export type ArrangementFigures = {
  readonly arrangement: Arrangement['kind'];
  readonly wireM: number;
  readonly costM: number;
  /** null = the gap leaves no choice. */
  readonly nextBestM: number | null;
};

export type PlanProperties =
  | ({ readonly kind: 'working-area' } & AreaFigures)
  | {
      readonly kind: 'route';
      readonly lengthM: number;
      /** With the slopes; null = not known. */
      readonly groundLengthM: number | null;
      readonly chainageM: readonly number[];
      readonly signalUnit: number;
      readonly resistanceOhm: number;
      /** At `wireTemperatureC`, with the splices at the ends of spools. */
      readonly warmResistanceOhm: number;
    }
  | ({ readonly kind: 'boundary-loop' } & AreaFigures)
  | ({ readonly kind: 'keep-out-loop'; readonly around: readonly string[] } & ArrangementFigures & AreaFigures)
  | ({ readonly kind: 'bay'; readonly around: readonly string[] } & ArrangementFigures & AreaFigures)
  | { readonly kind: 'lead'; readonly lengthM: number; readonly connects: readonly [string, string] }
  | ({
      readonly kind: 'zone';
      readonly connectivity: Connectivity;
      readonly widestRadiusM: number;
      readonly sharePct: number;
    } & AreaFigures)
  | {
      readonly kind: 'passage';
      readonly widthM: number;
      readonly lengthM: number;
      readonly slopeAlongPct: number | null;
      readonly slopeAcrossPct: number | null;
      readonly connects: readonly [string, string];
    }
  | {
      readonly kind: 'station';
      readonly headingDeg: number;
      readonly chainageM: number;
      readonly role: 'charging' | 'signal-only';
      readonly signalUnit: number;
      readonly slopePct: number | null;
    }
  | {
      readonly kind: 'station-candidate';
      readonly rank: number;
      readonly headingDeg: number;
      readonly reasons: readonly string[];
      readonly straightM: number;
      readonly cableM: number | null;
      readonly slopePct: number | null;
      readonly margins: StationCandidate['margins'];
      readonly comforts: StationCandidate['comforts'];
      readonly discomfortM: number;
    }
  | ({ readonly kind: 'supply-cable'; readonly lengthM: number } & SupplyProperties)
  | { readonly kind: 'peg'; readonly chainageM: number; readonly signalUnit: number; readonly pass: 'trial' | 'final' }
  | { readonly kind: 'splice'; readonly chainageM: number; readonly signalUnit: number; readonly reason: 'spool-end' }
  | ({
      readonly kind: 'hand-mow';
      readonly cause: (typeof HAND_MOW_CAUSES)[number];
      /** Of an `edge-strip`; null for other ground. */
      readonly stripLengthM: number | null;
    } & AreaFigures)
  | ({ readonly kind: 'steep' } & AreaFigures)
  | ({ readonly kind: 'weak-signal'; readonly cause: (typeof WEAK_CAUSES)[number] } & AreaFigures);

/** Too far from every wire, or under the least field. */
export const WEAK_CAUSES = ['range', 'field'] as const;

/** What the cable of the rule set loses, and the thinnest that keeps the drop in its limit; null = none does. */
export type SupplyProperties = {
  readonly areaMm2: number;
  readonly dropV: number;
  readonly dropPct: number;
  readonly leastMm2: number | null;
  readonly leastAwg: number | null;
  readonly powerW: number;
};

export type PlanFeature = {
  readonly type: 'Feature';
  readonly id: string;
  readonly properties: PlanProperties;
  readonly geometry: PlanGeometry;
};

/** Figures in metres, square metres, percent, ohms, hours. null = not known (no grid, nothing planned). */
export type PlanSummary = {
  readonly lawnAreaM2: number;
  readonly workingAreaM2: number;
  /** = boundaryLengthM + keepOutLengthM + 2 x leadLengthM */
  readonly routeLengthM: number;
  readonly boundaryLengthM: number;
  readonly keepOutLengthM: number;
  readonly leadLengthM: number;
  readonly zoneCount: number;
  readonly reachableAreaM2: number;
  readonly narrowPassageAreaM2: number;
  readonly isolatedAreaM2: number;
  readonly handMowAreaM2: number;
  readonly maxSlopePct: number | null;
  readonly resistanceOhm: number | null;
  readonly hoursPerWeek: number;
  readonly pegCount: number;
  readonly spliceCount: number;
  readonly spoolCount: number;
  readonly priceTotal: number;
  readonly currency: string;
};

export type PlanFinding = {
  readonly code: string;
  readonly severity: Severity;
  readonly message: string;
  readonly advice: string;
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string | null;
  /** GeoJSON position of the place, or null. */
  readonly at: Position | null;
  /** JSON Pointer into the site, or id of a plan feature, or null. */
  readonly subject: string | null;
};

export type PlanAudit = {
  readonly passed: boolean;
  readonly checks: readonly {
    readonly code: string;
    readonly passed: boolean;
    readonly worst: number;
    readonly limit: number;
    readonly unit: string;
    readonly at: Position | null;
  }[];
};

/** The mowing year. Advice: weather, grass and the machine's manual decide. */
type PlanUpkeep = {
  readonly seasons: readonly SeasonWeek[];
  /** When somebody carries the machine to a zone that it does not reach. */
  readonly carries: readonly CarryTime[];
  /** IANA name of the clock of all hours; null = none given. */
  readonly timeZone: string | null;
  readonly energyKwhPerYear: number;
};

export type Plan = {
  readonly type: 'FeatureCollection';
  readonly id: string | number | null;
  readonly name: string | null;
  readonly bbox?: readonly [number, number, number, number];
  readonly features: readonly PlanFeature[];
  readonly summary: PlanSummary;
  readonly takeoff: TakeOff;
  /** The week of the strongest growth and the longest days. */
  readonly schedule: readonly ScheduleEntry[];
  readonly upkeep: PlanUpkeep;
  readonly findings: readonly PlanFinding[];
  readonly audit: PlanAudit;
  /** The numbers that were used, all of them. */
  readonly rules: Rules;
  /** What to mind before and while digging, laying and running; local codes and the machine's manual come first. */
  readonly cautions: readonly string[];
};
