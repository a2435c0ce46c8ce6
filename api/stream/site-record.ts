import { type ElevationFile, type RefusedAnswer, refusal } from '#api/plan/plan-job.ts';

/** One site of many as it came: its bytes (UTF-8 JSON), or why it cannot be read. */
export type SiteRecord = ReadSite | RefusedAnswer;
type ReadSite = {
  readonly outcome: 'read';
  readonly bytes: Uint8Array;
  /** Ground heights beside it. */
  readonly elevation?: ElevationFile;
};

export function tooLongSite(length: number, bytesMax: number): RefusedAnswer {
  return refusal(
    'too-large',
    `this site has ${length} bytes, more than the ${bytesMax} of one site (LOOPWRIGHT_BODY_MAX_MB): leave out what is not this property`,
  );
}
