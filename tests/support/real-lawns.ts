import { readFileSync } from 'node:fs';
import type { SiteGeometryInput, SiteInput } from '#geo-core/model/site.ts';

/** The real lawns of the open registers, each as a site of its own, with their reference figures: for tests and bench. */

export const LAWN_PLACES = ['delft', 'luxiol', 'otterlo'] as const;
export type LawnPlace = (typeof LAWN_PLACES)[number];

export type RealLawn = {
  /** `otterlo 17` */
  readonly name: string;
  readonly site: SiteInput;
  readonly vertices: number;
  /** GeographicLib's Planimeter on the WGS 84 ellipsoid. */
  readonly geodesicAreaM2: number;
  readonly geodesicPerimeterM: number;
};

type LawnFile = {
  readonly features: readonly { readonly geometry: SiteGeometryInput & { readonly type: 'Polygon' } }[];
};

export function readRealLawns(place: LawnPlace): readonly RealLawn[] {
  const folder = new URL('../../fixtures/sites/real/', import.meta.url);
  const file = JSON.parse(readFileSync(new URL(`lawns-${place}.geojson`, folder), 'utf8')) as LawnFile;
  const reference = readFileSync(new URL(`lawns-${place}-geodesic.csv`, folder), 'utf8')
    .trim()
    .split('\n')
    .slice(1);
  return file.features.map(({ geometry }, i) => {
    const [id, geodesicAreaM2, geodesicPerimeterM] = reference[i].split(',').map(Number);
    if (id !== i) throw new Error(`lawns-${place}-geodesic.csv: line ${i + 2} is about ${id}`);
    return {
      name: `${place} ${i}`,
      site: { type: 'FeatureCollection', features: [{ type: 'Feature', properties: { kind: 'lawn' }, geometry }] },
      vertices: geometry.coordinates.reduce((sum, ring) => sum + ring.length - 1, 0),
      geodesicAreaM2,
      geodesicPerimeterM,
    };
  });
}
