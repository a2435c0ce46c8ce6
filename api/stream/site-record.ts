import { type RefusedAnswer, refusal } from '#api/plan/plan-job.ts';

/** One site of many as it came: its bytes (UTF-8 JSON), or why it cannot be read. */
export type SiteRecord = { readonly outcome: 'read'; readonly bytes: Uint8Array } | RefusedAnswer;

export function tooLongSite(length: number, bytesMax: number): RefusedAnswer {
  return refusal(
    'too-large',
    `this site has ${length} bytes, more than the ${bytesMax} of one site (LOOPWRIGHT_BODY_MAX_MB): leave out what is not this property`,
  );
}
