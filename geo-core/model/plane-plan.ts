import type { PlanePoint, Polygon, Polyline, Ring } from './position.ts';
import type { Beyond, FeatureAttributes } from './site.ts';
import type { LaidStretch, SpoolUse, WirePart } from './take-off.ts';

/** The outputs of the stages, all in metres of the local plane, in the order of the pipeline. Long because a plan has many outputs. */

/** 15-derive-lawn. */
export type DerivedLawn = {
  /** Grass to be mown, clean and disjoint; outer rings counter-clockwise. */
  readonly lawn: readonly Polygon[];
  /** Lawn and declared crossings joined: the ground that carries wire and machine. Equals `lawn` where nothing is declared. */
  readonly ground: readonly Polygon[];
  readonly crossings: readonly Polygon[];
  /** Things standing on the ground that the machine must not go to, as given (not grown). */
  readonly keepOuts: readonly KeepOut[];
  /** Where nothing may be laid. */
  readonly noWire: readonly Polygon[];
  /** True where the lawn was derived from a parcel because none was given. */
  readonly derived: boolean;
  readonly areaM2: number;
};

export type KeepOut = {
  /** `keep-out-1`, ... in the order of the input. */
  readonly id: string;
  readonly feature: FeatureAttributes;
  readonly polygons: readonly Polygon[];
  /** Set where it is round (given as a point with a radius): its loop is then drawn as one circle. */
  readonly discs: readonly { readonly x: number; readonly y: number; readonly radiusM: number }[];
  /** Distance from it to its loop, metres. */
  readonly offsetM: number;
};

/** 20-survey-slope. Undefined where no grid was given. */
export type SlopeSurvey = {
  /** Steepest known slope on the lawn, percent. */
  readonly maxSlopePct: number;
  /** Share of the lawn with a known slope, 0 to 1. */
  readonly knownShare: number;
  /** Ground over `slopeInsideMaxPct`. */
  readonly steep: readonly Polygon[];
  /** Two standard deviations of the slope of a single place, percent, from the scatter of the grid's own heights. */
  readonly uncertaintyPct: number;
  /** Standard deviation of its single heights around smooth ground, metres. */
  readonly noiseM: number;
  /** The longer side of the grid's cells, metres. */
  readonly cellM: number;
  /** What the machine feels over its wheelbase: rise to the east (x) and to the north (y), metres a metre; NaN where not known. */
  readonly riseAt: (x: number, y: number) => PlanePoint;
  /** Slope at a point, percent: the length of that rise. NaN where not known. */
  readonly slopeAtPct: (x: number, y: number) => number;
  /** Height at a point, metres; NaN where not known. */
  readonly heightAtM: (x: number, y: number) => number;
};

/** 25-classify-edges: `beyond[i]` and `offsetsM[i]` belong to the edge from vertex i to vertex i + 1. */
export type EdgeRing = {
  readonly ring: Ring;
  readonly beyond: readonly (Beyond | 'unknown')[];
  readonly offsetsM: Float64Array;
  /** JSON Pointer of the feature that says what lies beyond, or 'unknown'. */
  readonly from: readonly string[];
};
export type EdgedPolygon = { readonly outer: EdgeRing; readonly holes: readonly EdgeRing[] };

/** 30-offset-boundary: the ground inside the wire, before keep-outs. `part` is the index of the ground polygon it lies in. */
export type InsetPolygon = Polygon & { readonly part: number };

/** A closed wire around working area (boundary, counter-clockwise) or around ground the machine must not go to (keep-out, clockwise). */
export type Loop = (
  | { readonly kind: 'boundary' }
  | { readonly kind: 'keep-out'; readonly arrangement: Arrangement }
) & {
  /** `boundary-1`, `keep-out-loop-1`, ... */
  readonly id: string;
  readonly ring: Ring;
  readonly lengthM: number;
  /** Index of the polygon of `workingArea` it bounds. */
  readonly area: number;
  /** Index of the ground polygon it lies in. */
  readonly part: number;
  /** Pointers of the features it keeps the machine away from. */
  readonly around: readonly string[];
};

export const ARRANGEMENTS = ['own-loop', 'shared-loop', 'bay'] as const;
/** How keep-outs are kept, and what that takes. */
export type Arrangement = {
  readonly kind: (typeof ARRANGEMENTS)[number];
  /** Wire of the loop and twice its shortest lead, or what a bay adds to the boundary wire, metres. */
  readonly wireM: number;
  /** That and the lawn lost for it at its worth, metres of wire. */
  readonly costM: number;
  /** What the next best arrangement that is allowed would have cost, metres of wire; absent where the gap leaves no choice. */
  readonly nextBestM?: number;
};

/** A keep-out, or ground too narrow to drive, that the boundary wire goes around. */
export type Bay = {
  readonly id: string;
  readonly polygon: Polygon;
  readonly around: readonly string[];
  readonly arrangement: Arrangement;
};

/** 35-loop-keep-outs. */
export type LaidLoops = {
  readonly workingArea: readonly InsetPolygon[];
  readonly loops: readonly Loop[];
  readonly bays: readonly Bay[];
  /** Keep-outs that need no wire (ids). */
  readonly bumped: readonly string[];
  /** Steep ground that the rules make a keep-out. */
  readonly steep: readonly Polygon[];
};

export const CONNECTIVITIES = ['reachable', 'narrow-passage', 'isolated'] as const;
export type Connectivity = (typeof CONNECTIVITIES)[number];

export type Zone = {
  /** `zone-1` is the largest. */
  readonly id: string;
  readonly polygons: readonly Polygon[];
  readonly areaM2: number;
  readonly connectivity: Connectivity;
  /** Index of the polygon of `workingArea` it lies in. */
  readonly area: number;
  /** Radius and centre of the widest circle inside, metres. */
  readonly widestRadiusM: number;
  readonly widestAt: PlanePoint;
};

export type Passage = {
  readonly id: string;
  readonly centreLine: Polyline;
  /** Clear width between wires at the narrowest place, metres, and the two places where the wires come that near. */
  readonly widthM: number;
  readonly lengthM: number;
  readonly narrowestAt: readonly [PlanePoint, PlanePoint];
  readonly connects: readonly [string, string];
};

/** 40-split-zones. */
export type ZonedArea = { readonly zones: readonly Zone[]; readonly passages: readonly Passage[] };

/** A place of the wire and the direction of travel along it there (degrees clockwise from north). */
export type WirePlace = {
  readonly at: PlanePoint;
  readonly headingDeg: number;
  readonly loopId: string;
  /** Metres along the loop's ring from its first vertex. */
  readonly alongM: number;
};

export type StationCandidate = WirePlace & {
  readonly rank: number;
  /** Reasons in words for its place in the list, best first. */
  readonly reasons: readonly string[];
  readonly cableM?: number;
  /** Of the ground under it and in front of it, percent. */
  readonly slopePct?: number;
  readonly straightM: number;
  /** The hard rules with a figure, as measured here against their limits. */
  readonly margins: readonly {
    readonly rule: string;
    readonly value: number;
    readonly limit: number;
    readonly unit: 'm' | '%';
  }[];
  /** The soft rules: figure, and what it costs in metres of cable; the least sum is the best place. */
  readonly comforts: readonly {
    readonly of: string;
    readonly value: number | null;
    readonly unit: 'm' | '%';
    readonly costM: number;
  }[];
  readonly discomfortM: number;
};

/** Where a route begins: a charging station, or for ground of its own just a signal unit. */
export type Station = WirePlace & {
  readonly id: string;
  readonly role: 'charging' | 'signal-only';
  readonly part: number;
  readonly fixedByUser: boolean;
};

/** 45-site-station. One station for each part of the ground that carries wire; the charging station first. */
export type SitedStations = {
  readonly stations: readonly Station[];
  readonly candidates: readonly StationCandidate[];
  readonly supplyCable?: Polyline;
};

export type Lead = {
  readonly id: string;
  /** From the loop or lead nearer the station to the loop it joins. */
  readonly line: Polyline;
  readonly lengthM: number;
  readonly connects: readonly [string, string];
};

/** A stretch of the route between two chainages (vertex indices into `line`). */
export type Span = {
  readonly of: 'boundary' | 'keep-out' | 'lead';
  readonly id: string;
  readonly firstVertex: number;
  readonly lastVertex: number;
};

export type Route = {
  readonly id: string;
  readonly signalUnit: number;
  /** Closed: first = last = the station. Anticlockwise around the working area. */
  readonly line: Polyline;
  readonly chainageM: Float64Array;
  readonly lengthM: number;
  readonly spans: readonly Span[];
};

/** 50-join-route. */
export type JoinedRoute = {
  readonly leads: readonly Lead[];
  readonly routes: readonly Route[];
  /** Where there are leads: no network over the same loops has less lead than this, metres, and how much more is laid, percent. */
  readonly leadLowerBoundM?: number;
  readonly leadGapPct?: number;
};

/** 50-join-route, with the station where each route begins, in their order: those sited and those of loops that could not be joined. */
export type BegunRoute = JoinedRoute & { readonly stations: readonly Station[] };

/** Wire on ground steeper than `slopeAtWireMaxPct`; `outward` where the ground falls out over it by more than that. */
export type SteepWire = { readonly line: Polyline; readonly slopePct: number; readonly outward: boolean };
/** Steepest of a passage along and across its centre line, percent; NaN where not known. */
export type FeltPassage = { readonly id: string; readonly alongPct: number; readonly acrossPct: number };

/** 52-check-slope. Undefined where no slope is known. */
export type SlopeCheck = {
  readonly steepWire: readonly SteepWire[];
  readonly passages: readonly FeltPassage[];
  /** Length of each route on the ground, metres; undefined where too much of it is not known. */
  readonly groundLengthM: readonly (number | undefined)[];
  /** The same by the spans of each route, what is not known as on plan; undefined where that of the route is. */
  readonly spansOnGroundM: readonly (Float64Array | undefined)[];
};

/** The low-voltage cable from the outlet to the station, as the rules have it. */
export type SupplyFigures = {
  readonly cableM: number;
  readonly areaMm2: number;
  readonly dropV: number;
  readonly dropPct: number;
  /** Thinnest cross-section of IEC 60228 and thickest gauge number that keep the drop in its limit; absent where none does. */
  readonly leastMm2?: number;
  readonly leastAwg?: number;
  /** While the battery is charged. */
  readonly powerW: number;
};

/** 55-check-signal. */
export type SignalCheck = {
  /** Loop resistance of each route at 20 degrees Celsius, ohm. */
  readonly resistanceOhm: readonly number[];
  /** The same at `wireTemperatureC` and with the splices at the ends of spools, ohm. */
  readonly warmResistanceOhm: readonly number[];
  /** Working area farther than `signalRangeM` from every wire. */
  readonly weak: readonly Polygon[];
  /** Working area where the field is under `fieldMinNt`. */
  readonly faint: readonly Polygon[];
  /** Absent where no outlet is given. */
  readonly supply?: SupplyFigures;
  /** Least field over sampled ground of the working area, nT per ampere at 1 A, and where; undefined without working area. */
  readonly weakest?: { readonly fieldNt: number; readonly at: PlanePoint };
};

/** Listed once, under the pass in which it is driven: trial pegs stay when the final ones close the gaps. A lead is pegged on the way out only. */
export type Peg = {
  readonly at: PlanePoint;
  readonly chainageM: number;
  readonly signalUnit: number;
  readonly pass: 'trial' | 'final';
};
export type Splice = {
  readonly id: string;
  readonly at: PlanePoint;
  readonly chainageM: number;
  readonly signalUnit: number;
  readonly reason: 'spool-end';
};

/** 60-set-out. */
export type SettingOut = {
  readonly pegs: readonly Peg[];
  readonly splices: readonly Splice[];
  readonly spoolCount: number;
  readonly stretches: readonly LaidStretch[];
  readonly parts: readonly WirePart[];
  readonly spools: readonly SpoolUse[];
};

export const HAND_MOW_CAUSES = ['edge-strip', 'corner', 'narrow', 'isolated', 'steep'] as const;
export type HandMow = {
  readonly polygon: Polygon;
  readonly areaM2: number;
  readonly cause: (typeof HAND_MOW_CAUSES)[number];
  /** Of an `edge-strip`: what a trimmer walks along it, metres. */
  readonly lengthM?: number;
};

export type ScheduleEntry = {
  readonly zone: string;
  /** 1 Monday to 7 Sunday. */
  readonly day: number;
  /** Local clock time 'HH:MM'. */
  readonly from: string;
  readonly to: string;
  /** Begins with a lap along the edge. */
  readonly edgeLap?: boolean;
};

/** Months that have one week in common. */
export type SeasonWeek = {
  /** 1 January to 12 December. */
  readonly months: readonly number[];
  /** Share of the strongest growth of the year. */
  readonly growthShare: number;
  readonly hoursPerWeek: number;
  /** Hours a week in which mowing is allowed, in the month with the fewest. */
  readonly windowH: number;
  readonly schedule: readonly ScheduleEntry[];
};

/** When somebody carries the machine to a zone that it does not reach, and starts it there. */
export type CarryTime = Pick<ScheduleEntry, 'zone' | 'day' | 'from' | 'to'>;

/** 70-plan-upkeep. */
export type Upkeep = {
  readonly hoursPerWeek: number;
  readonly handMow: readonly HandMow[];
  /** The week of the strongest growth and the longest days. */
  readonly schedule: readonly ScheduleEntry[];
  readonly seasons: readonly SeasonWeek[];
  readonly carries: readonly CarryTime[];
  /** Drawn by station and signal unit in a year, kWh. */
  readonly energyKwhPerYear: number;
};

/** 75-audit-plan. `worst` against `limit` in `unit`; `at` the worst place. */
export type AuditCheck = {
  readonly code: string;
  readonly passed: boolean;
  readonly worst: number;
  readonly limit: number;
  readonly unit: string;
  readonly at?: PlanePoint;
};
export type Audit = { readonly passed: boolean; readonly checks: readonly AuditCheck[] };
