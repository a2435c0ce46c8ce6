import { parseSite } from '#api/contract/parse-site.ts';
import { planSite, type Trace } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { readElevation } from '#geo-core/terrain/read-elevation.ts';
import { bytesOf, type IndexEntry, type SiteFolder, siteJson } from './estate-sites.ts';

/** A site of the fixtures with its ground heights, parsed and planned as a caller's would be. Throws what is wrong with it. */
export async function planFixture(
  folder: SiteFolder,
  entry: IndexEntry,
  trace?: Trace,
): Promise<{ readonly site: SiteInput; readonly plan: Plan }> {
  const parsed = parseSite(siteJson(folder, entry.file));
  if ('problems' in parsed)
    throw new Error(`${entry.file}: ${parsed.problems.map(({ message }) => message).join('; ')}`);
  const elevation = entry.elevation === undefined ? undefined : await gridOf(folder, entry.elevation);
  const site = elevation === undefined ? parsed.site : { ...parsed.site, elevation };
  return { site, plan: planSite(site, parsed.rules, trace) };
}

function gridOf(folder: SiteFolder, file: string): ReturnType<typeof readElevation> {
  const isAscii = file.endsWith('.asc');
  const projectionWkt = isAscii ? new TextDecoder().decode(bytesOf(folder, file.replace(/\.asc$/, '.prj'))) : undefined;
  return readElevation(bytesOf(folder, file), { fileName: file, projectionWkt });
}
