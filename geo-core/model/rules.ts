import { BEYONDS, type Beyond } from './site.ts';

/**
 * Rule sets are data: the numbers of one machine and one firm. Every number carries its unit, its bounds and the reason
 * for it. All defaults are common practice, no source; the machine's own manual comes first.
 */
export const OFFSET_KEYS = [...BEYONDS, 'unknown', 'keepOut'] as const;
export type OffsetKey = (typeof OFFSET_KEYS)[number];
export type ReflexJoin = 'round' | 'mitre';

type NumberField = { readonly unit: string; readonly min: number; readonly max: number; readonly reason: string };

const metres = (min: number, max: number, reason: string): NumberField => ({ unit: 'm', min, max, reason });
const percent = (max: number, reason: string): NumberField => ({ unit: '%', min: 0, max, reason });

export const OFFSET_REASONS: Readonly<Record<OffsetKey, string>> = {
  'level-paving': 'wheels may roll on to level paving, so the blades reach the edge',
  'open-ground': 'nothing to hit: a short distance for the turn',
  planting: 'keeps wheels and blades out of beds',
  wall: 'room for the body to turn before it touches',
  fence: 'room for the body to turn before it touches',
  hedge: 'room for the body to turn, and for growth',
  'step-up': 'room for the body to turn before it touches',
  'step-down': 'a wheel may not leave the edge',
  drop: 'a machine that goes over is lost: caution',
  water: 'a machine that slides in is lost: caution',
  road: 'public ground: the machine stays well inside',
  unknown: 'an edge nothing is said about counts as open ground',
  keepOut: 'room between a keep-out and its loop',
};

/** Bounds of every offset. */
export const OFFSET_FIELD = metres(0, 10, 'distance to the wire by what lies beyond the edge');

/** Bounds of `bumpHeightM`, which may also be null. */
export const BUMP_HEIGHT_FIELD = metres(
  0,
  5,
  'rigid things at least this tall need no loop; null = everything gets wire',
);

export const NUMBER_FIELDS = {
  chamferLegM: metres(0, 2, 'a square corner becomes two 45 degree turns with this leg; 0 leaves convex corners sharp'),
  bendToleranceM: metres(
    0,
    0.2,
    'how far the wire may stray into the working area so that a bend takes the fewest pegs; 0 lays every bend as it is drawn',
  ),
  mowWidthM: metres(0.2, 10, 'least clear width between wires where the machine mows'),
  driveWidthM: metres(0.2, 5, 'least clear width between wires that the machine can drive through'),
  wireGapM: metres(0, 5, 'least distance between wires that do not touch, so that the machine is not trapped'),
  handMowCostMPerM2: {
    unit: 'm/m²',
    min: 0.5,
    max: 1000,
    reason:
      'metres of wire that are worth one square metre of lawn less to mow by hand; straits narrower than two over it are closed where that saves',
  },
  wheelBaseM: metres(0.1, 3, 'length over which the machine feels a slope: between its front and rear wheels'),
  slopeInsideMaxPct: percent(100, 'wheels slip on wet grass beyond it'),
  slopeAtWireMaxPct: percent(100, 'momentum carries the machine over the wire beyond it'),
  slopeAtStationMaxPct: percent(100, 'contacts of the charging station must meet'),
  stationStraightBeforeM: metres(0, 10, 'straight wire before the station, to arrive in line'),
  stationStraightBehindM: metres(0, 10, 'straight wire behind the station'),
  stationCornerClearM: metres(0, 10, 'distance of the station from the next corner of the wire'),
  stationHazardClearM: metres(0, 20, 'distance of the station from drops and open water'),
  supplyCableMaxM: metres(0, 200, 'longest low-voltage cable from the outlet to the station'),
  supplyV: { unit: 'V', min: 5, max: 60, reason: 'voltage of the low-voltage supply to the station' },
  supplyA: { unit: 'A', min: 0.1, max: 30, reason: 'current of the station while it charges' },
  supplyMm2: { unit: 'mm²', min: 0.5, max: 6, reason: 'cross-section of the supply cable' },
  supplyDropMaxPct: percent(50, 'voltage that the supply cable may lose'),
  signalRangeM: metres(1, 200, 'farthest ground from a wire where the signal is still heard'),
  loopMaxM: metres(10, 5000, 'longest wire one signal unit drives'),
  loopMaxOhm: { unit: 'Ω', min: 0.1, max: 1000, reason: 'highest loop resistance one signal unit drives' },
  wireTemperatureC: {
    unit: '°C',
    min: -40,
    max: 90,
    reason: 'warmest the wire gets: its resistance is told there, too',
  },
  spliceOhm: { unit: 'Ω', min: 0, max: 1, reason: 'resistance of one sound splice' },
  sensorHeightM: metres(0, 1, 'height of the machine’s sensor over the wire'),
  fieldMinNt: {
    unit: 'nT',
    min: 0,
    max: 1000,
    reason: 'least field, for each ampere in the wire, that the machine hears',
  },
  neighbourGapM: metres(0, 100, 'least distance between the wires of neighbours on one channel'),
  strayFieldMaxNt: {
    unit: 'nT',
    min: 0.01,
    max: 10_000,
    reason: 'most field of a neighbour’s loop on a lawn, for each ampere, where both are on one channel',
  },
  signalPowerW: { unit: 'W', min: 0, max: 100, reason: 'what signal unit and station draw all day' },
  pegTrialSpacingM: metres(0.1, 20, 'pegs for the trial lap'),
  pegSpacingM: metres(0.1, 5, 'pegs once the line is settled'),
  cornerSpareM: metres(0, 1, 'spare wire at every corner, which is laid in a small bow'),
  endSpareM: metres(0, 10, 'spare wire at each end, to move the station'),
  reservePct: percent(50, 'reserve on the wire ordered'),
  spoolM: metres(10, 2000, 'length of wire on a spool'),
  conductorMm2: { unit: 'mm²', min: 0.5, max: 2.5, reason: 'cross-section of the wire' },
  cuttingWidthM: metres(0.05, 3, 'width of the cut'),
  reachBeyondWireM: metres(-0.5, 1, 'how far outside the wire the blades still cut'),
  speedMps: { unit: 'm/s', min: 0.05, max: 3, reason: 'driving speed while mowing' },
  efficiency: { unit: '1', min: 0.05, max: 1, reason: 'share of the driven strip that is new grass (turns, overlap)' },
  passesPerWeek: { unit: '1/week', min: 0.1, max: 50, reason: 'times a week every spot is cut' },
  runMin: { unit: 'min', min: 1, max: 2000, reason: 'mowing on one charge' },
  chargeMin: { unit: 'min', min: 0, max: 2000, reason: 'charging between two runs' },
  massKg: { unit: 'kg', min: 1, max: 200, reason: 'mass of the machine: what a slope takes from the battery' },
  mowPowerW: { unit: 'W', min: 1, max: 2000, reason: 'what the machine draws while it mows level ground' },
  edgeLapsPerWeek: { unit: '1/week', min: 0, max: 7, reason: 'days a week that begin with a lap along the edge' },
  cutHeightMm: { unit: 'mm', min: 10, max: 150, reason: 'height that the grass is kept at' },
  sunClearMin: { unit: 'min', min: 0, max: 240, reason: 'no mowing so long after sunrise and before sunset' },
  dryingMin: { unit: 'min', min: 0, max: 1440, reason: 'no mowing so long after the sprinklers have run' },
} as const satisfies Record<string, NumberField>;
export type NumberFieldName = keyof typeof NUMBER_FIELDS;

export const CONDUCTOR_CLASSES = [1, 2, 5] as const;
export type ConductorClass = (typeof CONDUCTOR_CLASSES)[number];

export type Rules = { readonly [Name in NumberFieldName]: number } & {
  readonly name: string;
  readonly offsetsM: Readonly<Record<OffsetKey, number>>;
  readonly reflexJoin: ReflexJoin;
  /** Rigid things at least this tall need no loop (metres); null = everything gets wire. */
  readonly bumpHeightM: number | null;
  /** Steep ground becomes a keep-out instead of a finding. */
  readonly excludeSteep: boolean;
  /** Mowing by day only, so that small wild animals are not met in the dark. */
  readonly daylightOnly: boolean;
  /** IEC 60228 class of the wire. */
  readonly conductorClass: ConductorClass;
};

/** What a site or a request may ask for: a name, or `{ base, ...overrides }`. */
export type RulesSpec = string | ({ readonly base?: string; readonly name?: string } & RulesOverrides);
type RulesOverrides = Partial<Omit<Rules, 'offsetsM' | 'name'>> & {
  readonly offsetsM?: Partial<Rules['offsetsM']>;
};

const defaultRules: Rules = {
  name: 'default',
  offsetsM: {
    'level-paving': 0.1,
    'open-ground': 0.2,
    planting: 0.25,
    wall: 0.35,
    fence: 0.35,
    hedge: 0.35,
    'step-up': 0.35,
    'step-down': 0.25,
    drop: 0.35,
    water: 1,
    road: 1,
    unknown: 0.2,
    keepOut: 0.25,
  },
  chamferLegM: 0.3,
  bendToleranceM: 0.02,
  reflexJoin: 'round',
  mowWidthM: 2,
  driveWidthM: 0.8,
  wireGapM: 0.8,
  handMowCostMPerM2: 2.5,
  bumpHeightM: null,
  wheelBaseM: 0.5,
  slopeInsideMaxPct: 35,
  slopeAtWireMaxPct: 15,
  slopeAtStationMaxPct: 5,
  excludeSteep: false,
  stationStraightBeforeM: 2,
  stationStraightBehindM: 1,
  stationCornerClearM: 1,
  stationHazardClearM: 2,
  supplyCableMaxM: 15,
  supplyV: 28,
  supplyA: 3,
  supplyMm2: 1.5,
  supplyDropMaxPct: 5,
  signalRangeM: 20,
  loopMaxM: 500,
  loopMaxOhm: 20,
  wireTemperatureC: 40,
  spliceOhm: 0.01,
  sensorHeightM: 0.1,
  fieldMinNt: 5,
  neighbourGapM: 1,
  strayFieldMaxNt: 20,
  signalPowerW: 5,
  pegTrialSpacingM: 3,
  pegSpacingM: 0.75,
  cornerSpareM: 0.02,
  endSpareM: 1,
  reservePct: 5,
  spoolM: 250,
  conductorMm2: 1.5,
  conductorClass: 5,
  cuttingWidthM: 0.22,
  reachBeyondWireM: 0.1,
  speedMps: 0.4,
  efficiency: 0.7,
  passesPerWeek: 3,
  runMin: 70,
  chargeMin: 60,
  massKg: 12,
  mowPowerW: 30,
  edgeLapsPerWeek: 2,
  cutHeightMm: 40,
  sunClearMin: 30,
  dryingMin: 60,
  daylightOnly: true,
};

const twoDistance = (shortM: number, longM: number): Rules['offsetsM'] => ({
  'level-paving': shortM,
  'open-ground': shortM,
  planting: shortM,
  wall: longM,
  fence: longM,
  hedge: longM,
  'step-up': longM,
  'step-down': shortM,
  drop: shortM,
  water: longM,
  road: longM,
  unknown: shortM,
  keepOut: longM,
});

/** The built-in rule sets. The two machine classes are invented. */
export const RULE_SETS: readonly (Rules & { readonly about: string })[] = [
  {
    ...defaultRules,
    about: 'Cautious all-round numbers; more distance at drops, water and roads than trade custom asks.',
  },
  {
    ...defaultRules,
    name: 'two-distance',
    about:
      'The simplest trade custom: one short distance where ground goes on level or falls, one long distance where something stands up.',
    offsetsM: twoDistance(0.2, 0.35),
  },
  {
    ...defaultRules,
    name: 'small-lawn',
    about: 'An invented light machine for lawns up to about 600 m²: narrow, quick to turn, gentle slopes only.',
    offsetsM: { ...defaultRules.offsetsM, wall: 0.28, fence: 0.28, hedge: 0.28, 'step-up': 0.28 },
    chamferLegM: 0.2,
    mowWidthM: 1.4,
    driveWidthM: 0.6,
    wireGapM: 0.6,
    bumpHeightM: 0.2,
    wheelBaseM: 0.4,
    slopeInsideMaxPct: 25,
    slopeAtWireMaxPct: 10,
    loopMaxM: 250,
    signalRangeM: 15,
    conductorMm2: 0.75,
    spoolM: 150,
    cuttingWidthM: 0.18,
    speedMps: 0.35,
    runMin: 60,
    chargeMin: 70,
    massKg: 8,
    mowPowerW: 20,
  },
  {
    ...defaultRules,
    name: 'large-lawn',
    about:
      'An invented heavy machine for lawns from about 1,500 m²: wide, long runs, steeper ground, more room to turn.',
    offsetsM: {
      ...defaultRules.offsetsM,
      wall: 0.45,
      fence: 0.45,
      hedge: 0.45,
      'step-up': 0.45,
      drop: 0.6,
      keepOut: 0.35,
    },
    chamferLegM: 0.5,
    mowWidthM: 3,
    driveWidthM: 1.2,
    wireGapM: 1.2,
    bumpHeightM: 0.2,
    wheelBaseM: 0.8,
    slopeInsideMaxPct: 45,
    slopeAtWireMaxPct: 20,
    stationStraightBeforeM: 3,
    stationStraightBehindM: 1.5,
    loopMaxM: 800,
    signalRangeM: 25,
    spoolM: 500,
    conductorMm2: 2.5,
    cuttingWidthM: 0.4,
    speedMps: 0.6,
    runMin: 150,
    chargeMin: 60,
    massKg: 18,
    mowPowerW: 60,
  },
];

/** The distance from a lawn edge to the wire for what lies beyond it, metres. */
export function offsetForBeyond(rules: Rules, beyond: Beyond | 'unknown'): number {
  return rules.offsetsM[beyond];
}
