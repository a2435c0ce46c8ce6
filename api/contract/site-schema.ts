import { isTimeZone } from '#geo-core/index.ts';
import { BEYONDS, GROUNDS, type GrowthInput, type QuietHours, SITE_KINDS } from '#geo-core/model/site.ts';
import { papersSchema } from './papers-schema.ts';
import { pricesSchema } from './prices-schema.ts';
import { rulesSpecSchema } from './rules-schema.ts';
import { z } from './zod.ts';

const clock = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$|^24:00$/, 'a clock time is HH:MM, 00:00 to 24:00');

const clockHours = z
  .array(
    z.object({
      days: z.array(z.int().min(1).max(7)).min(1).max(7).describe('1 Monday to 7 Sunday'),
      from: clock,
      to: clock,
    }),
  )
  .max(100) satisfies z.ZodType<readonly QuietHours[]>;

const mmPerDay = z.number().min(0).max(100);
const growthSchema = z
  .union(
    [
      z.strictObject({ monthsMmPerDay: z.array(mmPerDay).length(12) }),
      z.strictObject({
        pointsMmPerDay: z
          .array(
            z.object({
              on: z.string().regex(/^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/, 'a day of the year is MM-DD'),
              mmPerDay,
            }),
          )
          .min(1)
          .max(366),
      }),
    ],
    'growth is {"monthsMmPerDay": twelve numbers} or {"pointsMmPerDay": [{"on": "MM-DD", "mmPerDay": number}, ...]}',
  )
  .describe(
    'How fast the grass grows, millimetres a day, by months or by days of the year.',
  ) satisfies z.ZodType<GrowthInput>;

/** The members of a site beside its features, rules and elevation. */
export const siteMembersSchema = z.object({
  id: z
    .union([z.string().max(200), z.number()], 'an id is text of at most 200 characters, or a number')
    .exactOptional(),
  name: z.string().max(200).exactOptional(),
  prices: pricesSchema.exactOptional(),
  quiet: clockHours.exactOptional().describe('When mowing is not allowed, local clock time.'),
  watering: clockHours.exactOptional().describe('When sprinklers run, local clock time.'),
  growth: growthSchema.exactOptional(),
  timeZone: z
    .string()
    .max(80)
    .refine(isTimeZone, 'a time zone is a name of the IANA database such as Europe/Vienna')
    .exactOptional()
    .describe('the clock that all hours are told by'),
  units: z
    .enum(['metric', 'us'])
    .exactOptional()
    .describe('units of figures shown to people; members of the plan stay metric'),
  locale: z
    .string()
    .regex(/^[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*$/, 'a locale is a language tag such as en or de-CH')
    .max(35)
    .exactOptional(),
  papers: papersSchema.exactOptional(),
});

const position = z
  .array(z.number())
  .min(2)
  .describe(
    'longitude, latitude (WGS 84 degrees) or the axes of the system that crs names; a third number is passed over',
  );
const bbox = z.union([z.array(z.number()).length(4), z.array(z.number()).length(6)]).optional();
const simple = [
  z.looseObject({ type: z.literal('Point'), bbox, coordinates: position }),
  z.looseObject({ type: z.literal('MultiPoint'), bbox, coordinates: z.array(position) }),
  z.looseObject({ type: z.literal('LineString'), bbox, coordinates: z.array(position) }),
  z.looseObject({ type: z.literal('MultiLineString'), bbox, coordinates: z.array(z.array(position)) }),
  z.looseObject({ type: z.literal('Polygon'), bbox, coordinates: z.array(z.array(position)) }),
  z.looseObject({ type: z.literal('MultiPolygon'), bbox, coordinates: z.array(z.array(z.array(position))) }),
] as const;
const geometry = z.discriminatedUnion('type', [
  ...simple,
  z.looseObject({
    type: z.literal('GeometryCollection'),
    bbox,
    get geometries(): z.ZodArray<z.ZodType> {
      return z.array(geometry);
    },
  }),
]);

const properties = z.looseObject({
  kind: z
    .unknown()
    .optional()
    .describe(`what it is: ${SITE_KINDS.join(', ')}; anything else is passed over with a finding`),
  height: z.unknown().optional().describe('height (m)'),
  rigid: z.unknown().optional().describe('true where it stands a gentle bump'),
  radius: z.unknown().optional().describe('radius of a tree, obstacle or sprinkler given as a Point (m)'),
  width: z.unknown().optional().describe('width of a road or crossing given as a LineString (m)'),
  beyond: z
    .unknown()
    .optional()
    .describe(`what lies beyond an edge: ${BEYONDS.join(', ')}`),
  ground: z
    .unknown()
    .optional()
    .describe(`of a lawn or parcel: ${GROUNDS.join(', ')}; firm where nothing is said`),
  heading: z.unknown().optional().describe('heading of a fixed station, degrees clockwise from north'),
});

/**
 * The whole document, for readers and for tests. `parseSite` says the same about features with a hand-written checker, which
 * stays cheap on 100,000 positions and gives better messages.
 */
export const siteSchema = siteMembersSchema
  .extend({
    type: z.literal('FeatureCollection'),
    bbox,
    features: z.array(
      z.looseObject({
        type: z.literal('Feature'),
        id: z.union([z.string(), z.number()]).optional(),
        bbox,
        properties: properties.nullable(),
        geometry: geometry.nullable(),
      }),
    ),
    rules: rulesSpecSchema.optional(),
    elevation: z.unknown().optional().describe('ground heights: a CoverageJSON Coverage with a Grid domain'),
  })
  .loose()
  .describe('One property as it is: an RFC 7946 FeatureCollection; every feature says what it is by properties.kind.');
