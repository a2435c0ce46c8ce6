import { logoOf } from '#geo-core/model/logo.ts';
import { type FirmProfile, type PaperDetails, SHEET_SIZES } from '#geo-core/model/paper-details.ts';
import { z } from './zod.ts';

const LOGO_CHARACTERS_MAX = 280_000;
const name = z.string().min(1).max(120);
const lines = z.array(z.string().max(120)).max(8).describe('one line each');

const rules = z
  .union([z.string().max(64), z.looseObject({})])
  .describe('a rule set as for the member rules of a site; checked when the option is planned');

const logo = z
  .string()
  .max(LOGO_CHARACTERS_MAX, 'a logo has at most 200 kB')
  .check((context) => {
    const read = logoOf(context.value);
    if ('fault' in read) context.issues.push({ code: 'custom', message: read.fault, input: context.value });
  })
  .describe('a PNG or JPEG as a data URI, at most 200 kB and 2,000 pixels a side; no address is ever fetched');

/** How a firm shows itself on its papers. */
export const firmProfileSchema = z
  .strictObject({
    name: name.exactOptional(),
    lines: lines.exactOptional(),
    logo: logo.exactOptional(),
    colour: z
      .string()
      .regex(/^#[0-9A-Fa-f]{6}$/, 'a colour is #rrggbb')
      .exactOptional()
      .describe('of titles and rules; one that cannot be read on white (WCAG 2.2, 4.5 : 1) gives way to the default'),
  })
  .describe('Name, address, logo and colour of the firm.') satisfies z.ZodType<FirmProfile>;

/** What papers say beside the plan. */
export const papersSchema = z
  .strictObject({
    firm: z
      .union([firmProfileSchema, z.string().max(64)])
      .exactOptional()
      .describe('a profile, or the id of one that is kept'),
    customer: z.strictObject({ name, lines: lines.exactOptional() }).exactOptional(),
    number: z.string().max(40).exactOptional().describe('of the proposal'),
    date: z.iso.date('a date is YYYY-MM-DD').exactOptional().describe('of the papers; else the day they are written'),
    validDays: z.int().min(0).max(3650).exactOptional().describe('how long the prices hold; else 30 days'),
    sheet: z.enum(SHEET_SIZES).exactOptional(),
    options: z
      .array(z.strictObject({ name: z.string().min(1).max(40), rules }))
      .max(3)
      .exactOptional()
      .describe('other rules to plan by, set beside the plan in the proposal'),
  })
  .describe('What proposal and crew sheets say beside the plan.') satisfies z.ZodType<PaperDetails>;
