import { pointerOf } from '#geo-core/model/problem.ts';
import type { z } from './zod.ts';

/** What a schema finds wrong with a value, for the member `errors` of an answer; `skip` members from the outside in are ours. */
export function schemaFaults(
  error: z.ZodError | undefined,
  skip = 0,
): { readonly pointer: string; readonly detail: string }[] {
  return (error?.issues ?? []).map(({ path, message }) => ({
    pointer: pointerOf(path.slice(skip).map(String)),
    detail: message,
  }));
}
