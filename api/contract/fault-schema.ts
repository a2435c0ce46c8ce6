import { z } from './zod.ts';

const ohm = (about: string) => z.number().min(0).max(1e6).describe(`${about} (ohm)`);
const orOpen = (about: string) => ohm(`${about}; null = open, no current flows`).nullable();
const chainageM = z.number().min(0).describe('metres along the route from the station');

const measurement = z.discriminatedUnion('what', [
  z.strictObject({ what: z.literal('loop'), ohm: orOpen('both ends of the wire loose, from one to the other') }),
  z
    .strictObject({
      what: z.literal('opened'),
      splice: z.string().describe('id of the splice that was opened'),
      beforeOhm: orOpen('from the start of the wire to it'),
      afterOhm: orOpen('from it to the end of the wire'),
      spliceIsAtFault: z.boolean().describe('it was corroded, loose or broken'),
    })
    .describe('a splice was opened, looked at and both halves measured'),
  z
    .strictObject({
      what: z.literal('tone'),
      chainageM,
      heard: z.boolean(),
    })
    .describe('a tone sent in at the start of the wire was heard at this place, or not'),
]);

const record = z
  .looseObject({ type: z.literal('FeatureCollection'), features: z.array(z.looseObject({})) })
  .describe('the plan, or the record of what was laid: its features route and splice are read');

/** What `POST /fault` takes. */
export const faultQuestionSchema = z
  .strictObject({
    plan: record,
    signalUnit: z.int().min(1).default(1).describe('which wire, where there are several'),
    measurements: z.array(measurement).min(1).max(1_000),
    accuracy: z
      .strictObject({
        readingPct: z.number().min(0).max(50).describe('percent of the reading'),
        ohm: z.number().min(0).max(100).describe('and so many ohms'),
      })
      .default({ readingPct: 1, ohm: 0.2 })
      .describe("the meter's accuracy as its data sheet gives it; common practice, no source"),
    temperatureC: z.number().min(-40).max(60).default(20).describe('of the ground (degrees Celsius)'),
    spliceOhm: ohm('one sound splice; common practice, no source').default(0.01),
  })
  .describe('What was measured on a wire that is broken or badly spliced.');

const position = z.tuple([z.number(), z.number()]);

/** The features of a plan that a search for a fault reads. */
export const recordedRouteSchema = z.object({
  geometry: z.discriminatedUnion('type', [
    z.object({ type: z.literal('LineString'), coordinates: z.array(position).min(2) }),
    z.object({ type: z.literal('MultiLineString'), coordinates: z.array(z.array(position).min(2)).min(1) }),
  ]),
  properties: z.object({
    kind: z.literal('route'),
    signalUnit: z.int(),
    lengthM: z.number().positive(),
    resistanceOhm: z.number().positive(),
    chainageM: z.array(z.number()),
  }),
});
export const recordedSpliceSchema = z.object({
  id: z.string(),
  properties: z.object({ kind: z.literal('splice'), signalUnit: z.int(), chainageM }),
});
