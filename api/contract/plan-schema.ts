import { PLAN_KINDS, type Plan, type PlanFeature, WEAK_CAUSES } from '#geo-core/model/plan.ts';
import { ARRANGEMENTS, CONNECTIVITIES, HAND_MOW_CAUSES } from '#geo-core/model/plane-plan.ts';
import { GROUNDS } from '#geo-core/model/site.ts';
import { rulesSchema } from './rules-schema.ts';
import { z } from './zod.ts';

const position = z.tuple([z.number(), z.number()]).describe('longitude, latitude, WGS 84 degrees');
const positions = z.array(position);
const rings = z.array(positions).describe('closed rings, the outer one anticlockwise (RFC 7946)');
const point = z.object({ type: z.literal('Point'), coordinates: position });
const line = z.object({ type: z.literal('LineString'), coordinates: positions });
const multiLine = z.object({ type: z.literal('MultiLineString'), coordinates: z.array(positions) });
const polygon = z.object({ type: z.literal('Polygon'), coordinates: rings });
const multiPolygon = z.object({ type: z.literal('MultiPolygon'), coordinates: z.array(rings) });
const geometry = z.discriminatedUnion('type', [point, line, multiLine, polygon, multiPolygon]);

const metres = (about: string) => z.number().describe(`${about} (m)`);
const areaFigures = { areaM2: z.number().describe('area (m²)'), perimeterM: metres('length of all its rings') };
const chainageM = metres('metres along the route from the station');
const signalUnit = z.int().describe('number of the signal unit that drives this wire');
const slopePct = z.number().nullable().describe('slope (%); null = not known');
const arrangement = {
  arrangement: z
    .enum(ARRANGEMENTS)
    .describe('how it is kept: a loop of its own, one shared by several, or a bay of the boundary wire'),
  wireM: metres('wire of the loop and twice its shortest lead, or what the bay adds to the boundary wire'),
  costM: metres('wire, and the lawn lost at its worth in wire'),
  nextBestM: metres('cost of the next best arrangement that is allowed; null = the gap leaves no choice').nullable(),
};
const around = z.array(z.string()).describe('JSON Pointers of the site features it goes around');
const connects = z.tuple([z.string(), z.string()]).describe('ids of what it joins');

const properties = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('working-area'), ...areaFigures }).describe('where the machine may go'),
  z
    .object({
      kind: z.literal('route'),
      lengthM: metres('length of the wire'),
      groundLengthM: z.number().nullable().describe('its length on the ground, slopes counted (m); null = not known'),
      chainageM: z.array(z.number()).describe('metres along the route, one for each vertex'),
      signalUnit,
      resistanceOhm: z.number().describe('loop resistance at 20 °C (ohm)'),
      warmResistanceOhm: z.number().describe('the same at wireTemperatureC and with the splices at spool ends (ohm)'),
    })
    .describe('one closed wire in laying order, first = last = the station'),
  z.object({ kind: z.literal('boundary-loop'), ...areaFigures }),
  z.object({ kind: z.literal('keep-out-loop'), around, ...arrangement, ...areaFigures }),
  z.object({ kind: z.literal('bay'), around, ...arrangement, ...areaFigures }),
  z.object({ kind: z.literal('lead'), lengthM: metres('length, walked twice'), connects }),
  z.object({
    kind: z.literal('zone'),
    connectivity: z.enum(CONNECTIVITIES),
    widestRadiusM: metres('radius of the widest circle inside'),
    sharePct: z.number().describe('share of the working area (%)'),
    ...areaFigures,
  }),
  z.object({
    kind: z.literal('passage'),
    widthM: metres('clear width'),
    lengthM: metres('length'),
    slopeAlongPct: slopePct,
    slopeAcrossPct: slopePct,
    connects,
  }),
  z.object({
    kind: z.literal('station'),
    headingDeg: z.number().describe('degrees clockwise from north'),
    chainageM,
    role: z.enum(['charging', 'signal-only']),
    signalUnit,
    slopePct,
  }),
  z.object({
    kind: z.literal('station-candidate'),
    rank: z.int(),
    headingDeg: z.number(),
    reasons: z.array(z.string()),
    straightM: metres('straight wire before it'),
    cableM: z.number().nullable().describe('length of the supply cable (m); null = no outlet given'),
    slopePct,
    margins: z
      .array(z.object({ rule: z.string(), value: z.number(), limit: z.number(), unit: z.enum(['m', '%']) }))
      .describe('the hard rules that have a figure, as measured here against their limits'),
    comforts: z
      .array(z.object({ of: z.string(), value: z.number().nullable(), unit: z.enum(['m', '%']), costM: z.number() }))
      .describe('the soft rules: figure, and what it costs in metres of cable'),
    discomfortM: metres('sum of what the soft rules cost; the least is the best place'),
  }),
  z.object({
    kind: z.literal('supply-cable'),
    lengthM: metres('length'),
    areaMm2: z.number().describe('cross-section by the rule set (mm²)'),
    dropV: z.number().describe('voltage that it loses while charging (V)'),
    dropPct: z.number(),
    leastMm2: z
      .number()
      .nullable()
      .describe('thinnest listed cross-section within supplyDropMaxPct (mm²); null = none'),
    leastAwg: z.int().nullable().describe('the same as a gauge number; null = none'),
    powerW: z.number().describe('drawn while the battery is charged (W)'),
  }),
  z.object({ kind: z.literal('peg'), chainageM, signalUnit, pass: z.enum(['trial', 'final']) }),
  z.object({ kind: z.literal('splice'), chainageM, signalUnit, reason: z.literal('spool-end') }),
  z.object({
    kind: z.literal('hand-mow'),
    cause: z.enum(HAND_MOW_CAUSES),
    stripLengthM: metres('what a trimmer walks along an edge-strip; null for other ground').nullable(),
    ...areaFigures,
  }),
  z.object({ kind: z.literal('steep'), ...areaFigures }),
  z.object({ kind: z.literal('weak-signal'), cause: z.enum(WEAK_CAUSES), ...areaFigures }),
]);

const feature = z.object({
  type: z.literal('Feature'),
  id: z.string(),
  properties,
  geometry,
}) satisfies z.ZodType<PlanFeature>;

const summary = z.object({
  lawnAreaM2: z.number(),
  workingAreaM2: z.number(),
  routeLengthM: z.number().describe('= boundaryLengthM + keepOutLengthM + 2 x leadLengthM'),
  boundaryLengthM: z.number(),
  keepOutLengthM: z.number(),
  leadLengthM: z.number(),
  zoneCount: z.int(),
  reachableAreaM2: z.number(),
  narrowPassageAreaM2: z.number(),
  isolatedAreaM2: z.number(),
  handMowAreaM2: z.number(),
  maxSlopePct: z.number().nullable(),
  resistanceOhm: z.number().nullable(),
  hoursPerWeek: z.number(),
  pegCount: z.int(),
  spliceCount: z.int(),
  spoolCount: z.int(),
  priceTotal: z.number(),
  currency: z.string(),
});

export const findingSchema = z
  .object({
    code: z.string().describe('<stage>.<reason> in kebab-case'),
    severity: z.enum(['stop', 'caution', 'note']),
    message: z.string().describe('what and where, in one sentence'),
    advice: z.string().describe('what to do about it, in one sentence'),
    value: z.number().nullable(),
    limit: z.number().nullable(),
    unit: z.string().nullable(),
    at: position.nullable(),
    subject: z.string().nullable().describe('JSON Pointer into the site, or id of a plan feature'),
  })
  .describe('One thing the planner noticed.');

const spanOf = z.enum(['boundary', 'keep-out', 'lead']);
const ground = z.enum(GROUNDS);
const onGroundM = z.number().nullable().describe('with the slopes (m); null = not known');
const chainages = { fromM: metres('chainage of its beginning'), toM: metres('chainage of its end') };

const takeoff = z.object({
  lines: z
    .array(
      z.object({
        code: z.string().describe('item of the price book'),
        what: z.string(),
        group: z.enum(['material', 'labour']),
        quantity: z.number(),
        unit: z.enum(['m', 'piece', 'h']),
        unitPrice: z.number(),
        discountPct: z.number(),
        tax: z.string().describe('name of its rate in taxes'),
        amount: z.number().describe('quantity x unitPrice less its discount'),
      }),
    )
    .describe('what is charged'),
  labour: z
    .array(
      z.object({
        code: z.string().describe('the line in which its hours count'),
        activity: z.string(),
        ground: ground.nullable(),
        quantity: z.number(),
        unit: z.enum(['m', 'piece']),
        hoursEach: z.number(),
        hours: z.number(),
      }),
    )
    .describe('work by activity and ground'),
  wire: z
    .array(
      z.object({
        signalUnit,
        lengthM: metres('on plan'),
        groundLengthM: onGroundM,
        cornersM: metres('slack at corners'),
        endsM: metres('spare ends'),
        reserveM: metres('reserve on all of that'),
        orderM: metres('to order'),
      }),
    )
    .describe('wire of each route'),
  parts: z
    .array(
      z.object({
        signalUnit,
        of: spanOf,
        id: z.string(),
        lengthM: metres('wire on plan, of a lead both ways'),
        groundLengthM: onGroundM,
        corners: z.int().describe('turns of 30 degrees or more'),
      }),
    )
    .describe('wire of each loop and lead'),
  stretches: z
    .array(
      z.object({
        signalUnit,
        ...chainages,
        of: spanOf,
        id: z.string(),
        over: z.enum([...GROUNDS, 'crossing']),
        shared: z.boolean().describe('the way back of a lead, beside the wire laid on the way out'),
      }),
    )
    .describe('the routes by the ground under them'),
  spools: z
    .array(
      z.object({
        spool: z.int(),
        lengthM: metres('on the spool'),
        usedM: metres('used, spares and reserve included'),
        leftM: metres('left'),
        lays: z.array(z.object({ signalUnit, ...chainages })),
      }),
    )
    .describe('spools in laying order'),
  subtotal: z.number().describe('sum of the lines'),
  discountPct: z.number(),
  discount: z.number(),
  net: z.number(),
  taxes: z.array(z.object({ name: z.string(), pct: z.number(), net: z.number(), tax: z.number() })),
  tax: z.number(),
  taxPct: z.number().nullable().describe('null = there are several rates'),
  pricesIncludeTax: z.boolean().describe('unit prices and amounts contain the tax'),
  cashRounding: z.number(),
  priceTotal: z.number().describe('net + tax + cashRounding'),
  currency: z.string().describe('ISO 4217'),
  minorUnits: z.int().describe('decimals of the currency'),
  priceBook: z
    .object({
      id: z.string().nullable(),
      version: z.int().nullable(),
      validFrom: z.string().nullable(),
      validUntil: z.string().nullable(),
    })
    .describe('the book it was priced with'),
});

const carry = z.object({
  zone: z.string(),
  day: z.int().describe('1 Monday to 7 Sunday'),
  from: z.string().describe('local clock time HH:MM'),
  to: z.string(),
});
const scheduleEntry = carry.extend({
  edgeLap: z.boolean().exactOptional().describe('begins with a lap along the edge'),
});
const upkeep = z
  .object({
    seasons: z.array(
      z.object({
        months: z.array(z.int()).describe('1 January to 12 December'),
        growthShare: z.number().describe('share of the strongest growth of the year'),
        hoursPerWeek: z.number(),
        windowH: z.number().describe('hours a week in which mowing is allowed'),
        schedule: z.array(scheduleEntry),
      }),
    ),
    carries: z.array(carry).describe('when somebody carries the machine to a zone that it does not reach'),
    timeZone: z.string().nullable().describe('IANA name of the clock of all hours; null = none given'),
    energyKwhPerYear: z.number().describe('drawn by station and signal unit (kWh)'),
  })
  .describe('The mowing year.');

const audit = z
  .object({
    passed: z.boolean(),
    checks: z.array(
      z.object({
        code: z.string(),
        passed: z.boolean(),
        worst: z.number(),
        limit: z.number(),
        unit: z.string(),
        at: position.nullable(),
      }),
    ),
  })
  .describe('The proof of the plan, by independent means.');

export const planSchema = z
  .object({
    type: z.literal('FeatureCollection'),
    id: z.union([z.string(), z.number()]).nullable(),
    name: z.string().nullable(),
    bbox: z.tuple([z.number(), z.number(), z.number(), z.number()]).exactOptional(),
    features: z.array(feature).describe(`properties.kind is one of ${PLAN_KINDS.join(', ')}`),
    summary,
    takeoff,
    schedule: z.array(scheduleEntry).describe('the week of the strongest growth and the longest days'),
    upkeep,
    findings: z.array(findingSchema),
    audit,
    rules: rulesSchema,
    cautions: z.array(z.string()),
  })
  .describe('The plan of one site. Lengths are metres, areas square metres.') satisfies z.ZodType<Plan>;
