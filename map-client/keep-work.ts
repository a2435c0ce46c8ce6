import { get, set } from 'idb-keyval';

const KEY = 'site-being-drawn';

/** Keeps the site that is being drawn in this browser, over reloads and crashes. Rejects where the browser keeps nothing. */
export function keepWork(siteText: string): Promise<void> {
  return set(KEY, siteText);
}

/** The site that was kept last; undefined where there is none, or where the browser lets nobody look. */
export function keptWork(): Promise<string | undefined> {
  return get<string>(KEY).catch(() => undefined);
}
