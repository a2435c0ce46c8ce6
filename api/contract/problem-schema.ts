import { z } from './zod.ts';

/** RFC 9457 problem details with our members. */
export const problemSchema = z
  .object({
    type: z.string().describe('a URI reference that names the kind of problem: /problems/{code}'),
    title: z.string().describe('the kind of problem in a few words'),
    status: z.int().min(400).max(599).describe('the HTTP status'),
    detail: z.string().describe('what is wrong here and what to do about it'),
    requestId: z.string().describe('to find the request in the log of the service'),
    errors: z
      .array(
        z.object({
          pointer: z.string().describe('RFC 6901 JSON Pointer into the request body'),
          detail: z.string().describe('what is wrong there and what to do about it'),
        }),
      )
      .max(100)
      .optional()
      .describe('every offending place, the first 100'),
    more: z.int().min(1).optional().describe('how many places beyond those listed'),
  })
  .describe('Why a request was not answered as asked (RFC 9457).');

export type ProblemDetails = z.infer<typeof problemSchema>;
