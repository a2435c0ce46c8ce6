import type { Garden } from './gardens.ts';
import type { PlanRequest } from './planner-messages.ts';

/** A site as it was given, with its heights. */
export type GivenSite = Omit<PlanRequest, 'request' | 'rules' | 'locale' | 'units'>;

/** Fetches a garden that comes with the page. */
export async function readGarden({ url, fileName, elevation }: Garden): Promise<GivenSite> {
  const [text, heights] = await Promise.all([fetchText(url), fetchElevation(elevation)]);
  return { text, fileName, elevation: heights };
}

/** A GeoJSON site, with an elevation grid beside it if one was picked too. */
export async function readFiles(files: readonly File[]): Promise<GivenSite> {
  const site = files.find(({ name }) => /json$/i.test(name)) ?? files[0];
  const grid = files.find((file) => file !== site && !file.name.endsWith('.prj'));
  const projection = files.find(({ name }) => name.endsWith('.prj'));
  return {
    text: await site.text(),
    fileName: site.name,
    elevation:
      grid === undefined
        ? null
        : {
            fileName: grid.name,
            bytes: await grid.arrayBuffer(),
            projectionWkt: (await projection?.text()) ?? null,
          },
  };
}

async function fetchElevation(elevation: Garden['elevation']): Promise<GivenSite['elevation']> {
  if (elevation === null) return null;
  const { fileName, url, projectionUrl } = elevation;
  return {
    fileName,
    bytes: await fetchWhole(url).then((response) => response.arrayBuffer()),
    projectionWkt: projectionUrl === null ? null : await fetchText(projectionUrl),
  };
}

function fetchText(url: string): Promise<string> {
  return fetchWhole(url).then((response) => response.text());
}

async function fetchWhole(url: string): Promise<Response> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`HTTP ${response.status}`);
  return response;
}
