import type { Rules } from '#geo-core/model/rules.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput, SiteInput } from '#geo-core/model/site.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { readSite } from '#geo-core/stages/05-read-site.ts';
import { projectSite } from '#geo-core/stages/10-project-site.ts';

/** Somewhere in open country; tests that need another place pass their own. */
export const FIELD = { originLonDeg: 10.5, originLatDeg: 52.25 };

export type Metres = readonly (readonly [number, number])[];

/** Draws a site in metres round a place, as longitude and latitude: what a caller would post. */
export function drawSite(place = FIELD) {
  const { toLonLat } = localPlaneProjection(place);
  const ring = (xy: Metres) => [...xy, xy[0]].map(([x, y]) => [...toLonLat(x, y)]);
  const line = (xy: Metres) => xy.map(([x, y]) => [...toLonLat(x, y)]);
  const feature = (
    kind: string,
    geometry: SiteFeatureInput['geometry'],
    properties: Record<string, unknown> = {},
  ): SiteFeatureInput => ({ type: 'Feature', properties: { kind, ...properties }, geometry });
  return {
    area: (kind: string, rings: readonly Metres[], properties?: Record<string, unknown>) =>
      feature(kind, { type: 'Polygon', coordinates: rings.map(ring) }, properties),
    line: (kind: string, xy: Metres, properties?: Record<string, unknown>) =>
      feature(kind, { type: 'LineString', coordinates: line(xy) }, properties),
    point: (kind: string, x: number, y: number, properties?: Record<string, unknown>) =>
      feature(kind, { type: 'Point', coordinates: [...toLonLat(x, y)] }, properties),
  };
}

export function siteOf(features: readonly SiteFeatureInput[], members: Partial<SiteInput> = {}): SiteInput {
  return { type: 'FeatureCollection', ...members, features };
}

/** Read and projected, as the stages from 15 on get it. */
export function planeSiteOf(features: readonly SiteFeatureInput[], rules: Rules = RULE_SETS[0]) {
  return projectSite(readSite(siteOf(features), rules).output).output;
}

export function rectangle(x: number, y: number, width: number, height: number): Metres {
  return [
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
  ];
}
