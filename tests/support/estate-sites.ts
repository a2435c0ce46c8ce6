import { readFileSync } from 'node:fs';
import type { SiteInput } from '#geo-core/model/site.ts';

export type IndexEntry = {
  readonly file: string;
  readonly title: string;
  readonly about: string;
  readonly elevation?: string;
};
export type SiteFolder = 'estate' | 'real';

const SITES = new URL('../../fixtures/sites/', import.meta.url);

/** The sites of a folder of fixtures, as its index.json lists them. */
export function indexOf(folder: SiteFolder): readonly IndexEntry[] {
  return JSON.parse(readFileSync(new URL(`${folder}/index.json`, SITES), 'utf8')) as IndexEntry[];
}

/** The bytes of a file beside the sites: a site, a grid of heights. */
export function bytesOf(folder: SiteFolder, file: string): Uint8Array {
  return readFileSync(new URL(`${folder}/${file}`, SITES));
}

export function siteJson(folder: SiteFolder, file: string): SiteInput {
  return JSON.parse(readFileSync(new URL(`${folder}/${file}`, SITES), 'utf8')) as SiteInput;
}
