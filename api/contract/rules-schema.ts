import {
  BUMP_HEIGHT_FIELD,
  CONDUCTOR_CLASSES,
  NUMBER_FIELDS,
  type NumberFieldName,
  OFFSET_FIELD,
  OFFSET_KEYS,
  OFFSET_REASONS,
  RULE_SETS,
  type Rules,
} from '#geo-core/model/rules.ts';
import { z } from './zod.ts';

function numberRule(name: NumberFieldName) {
  const { unit, min, max, reason } = NUMBER_FIELDS[name];
  return z.number().min(min).max(max).describe(`${reason} (${unit})`);
}

const numbers = {
  chamferLegM: numberRule('chamferLegM'),
  bendToleranceM: numberRule('bendToleranceM'),
  mowWidthM: numberRule('mowWidthM'),
  driveWidthM: numberRule('driveWidthM'),
  wireGapM: numberRule('wireGapM'),
  handMowCostMPerM2: numberRule('handMowCostMPerM2'),
  wheelBaseM: numberRule('wheelBaseM'),
  slopeInsideMaxPct: numberRule('slopeInsideMaxPct'),
  slopeAtWireMaxPct: numberRule('slopeAtWireMaxPct'),
  slopeAtStationMaxPct: numberRule('slopeAtStationMaxPct'),
  stationStraightBeforeM: numberRule('stationStraightBeforeM'),
  stationStraightBehindM: numberRule('stationStraightBehindM'),
  stationCornerClearM: numberRule('stationCornerClearM'),
  stationHazardClearM: numberRule('stationHazardClearM'),
  supplyCableMaxM: numberRule('supplyCableMaxM'),
  supplyV: numberRule('supplyV'),
  supplyA: numberRule('supplyA'),
  supplyMm2: numberRule('supplyMm2'),
  supplyDropMaxPct: numberRule('supplyDropMaxPct'),
  signalRangeM: numberRule('signalRangeM'),
  loopMaxM: numberRule('loopMaxM'),
  loopMaxOhm: numberRule('loopMaxOhm'),
  wireTemperatureC: numberRule('wireTemperatureC'),
  spliceOhm: numberRule('spliceOhm'),
  sensorHeightM: numberRule('sensorHeightM'),
  fieldMinNt: numberRule('fieldMinNt'),
  neighbourGapM: numberRule('neighbourGapM'),
  strayFieldMaxNt: numberRule('strayFieldMaxNt'),
  signalPowerW: numberRule('signalPowerW'),
  pegTrialSpacingM: numberRule('pegTrialSpacingM'),
  pegSpacingM: numberRule('pegSpacingM'),
  cornerSpareM: numberRule('cornerSpareM'),
  endSpareM: numberRule('endSpareM'),
  reservePct: numberRule('reservePct'),
  spoolM: numberRule('spoolM'),
  conductorMm2: numberRule('conductorMm2'),
  cuttingWidthM: numberRule('cuttingWidthM'),
  reachBeyondWireM: numberRule('reachBeyondWireM'),
  speedMps: numberRule('speedMps'),
  efficiency: numberRule('efficiency'),
  passesPerWeek: numberRule('passesPerWeek'),
  runMin: numberRule('runMin'),
  chargeMin: numberRule('chargeMin'),
  massKg: numberRule('massKg'),
  mowPowerW: numberRule('mowPowerW'),
  edgeLapsPerWeek: numberRule('edgeLapsPerWeek'),
  cutHeightMm: numberRule('cutHeightMm'),
  sunClearMin: numberRule('sunClearMin'),
  dryingMin: numberRule('dryingMin'),
} satisfies Record<NumberFieldName, z.ZodNumber>;

const offset = z.number().min(OFFSET_FIELD.min).max(OFFSET_FIELD.max);
const offsetsM = z
  .record(z.enum(OFFSET_KEYS), offset)
  .describe(
    `${OFFSET_FIELD.reason} (${OFFSET_FIELD.unit}). ${OFFSET_KEYS.map((key) => `${key}: ${OFFSET_REASONS[key]}`).join('. ')}.`,
  );

const others = {
  reflexJoin: z.enum(['round', 'mitre']).describe('how the wire goes round corners that point into the lawn'),
  bumpHeightM: z
    .number()
    .min(BUMP_HEIGHT_FIELD.min)
    .max(BUMP_HEIGHT_FIELD.max)
    .nullable()
    .describe(`${BUMP_HEIGHT_FIELD.reason} (${BUMP_HEIGHT_FIELD.unit})`),
  excludeSteep: z.boolean().describe('steep ground becomes a keep-out instead of a finding'),
  daylightOnly: z.boolean().describe('mowing by day only, so that small wild animals are not met in the dark'),
  conductorClass: z.literal(CONDUCTOR_CLASSES).describe('class of the wire by IEC 60228'),
};

/** All the numbers of a rule set, as a plan states them. */
export const rulesSchema = z
  .object({ name: z.string(), offsetsM, ...others, ...numbers })
  .describe('The numbers of one machine and one firm.') satisfies z.ZodType<Rules>;

const overridesSchema = z
  .strictObject({
    base: z.enum(RULE_SETS.map((set) => set.name)).describe('the rule set to start from; default'),
    name: z.string().max(80).describe('what to call the changed set'),
    offsetsM: z.partialRecord(z.enum(OFFSET_KEYS), offset),
    ...others,
    ...numbers,
  })
  .partial();

/** What a site may ask for: the name of a rule set, or one with overrides. */
export const rulesSpecSchema = z
  .union([z.enum(RULE_SETS.map((set) => set.name)), overridesSchema])
  .describe('The name of a rule set (GET /rules lists them), or {"base": name, ...overrides}.');
