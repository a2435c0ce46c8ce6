import { del, get, set } from 'idb-keyval';
import type { KeptSite } from './kept/kept-sites.ts';
import type { GivenSite } from './read-garden.ts';

const KEY = 'work-in-progress';

/** A site that is being drawn, and which garden of the service it was read from, if any. */
export type Work = { readonly site: GivenSite; readonly kept: KeptSite | null };

/** Keeps what is being drawn in this browser, over reloads and crashes. Rejects where the browser keeps nothing. */
export function keepWork(work: Work): Promise<void> {
  return set(KEY, work);
}

/** What was kept last; undefined where there is none, or where the browser lets nobody look. */
export function keptWork(): Promise<Work | undefined> {
  return get<Work>(KEY).catch(() => undefined);
}

/** The work is safe elsewhere. A browser that keeps nothing has nothing to forget. */
export function forgetWork(): Promise<void> {
  return del(KEY).catch(() => undefined);
}
