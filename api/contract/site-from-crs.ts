import { crsConverter, type Locate } from '#geo-core/index.ts';
import type { PositionInput, SiteFeatureInput, SiteGeometryInput } from '#geo-core/model/site.ts';
import type { NamedCrs } from './parse-crs.ts';

/** No garden lies so few metres from the origin of a projected system: numbers this small are degrees. */
const ANGLE_MAX_DEG = 181;

export type SiteCrs = {
  /** Where a position lies (longitude, latitude), or why it is no place in the system. */
  readonly locate: Locate;
  /** Features in longitude and latitude; every position of theirs must be a place. */
  readonly toLonLat: (features: readonly SiteFeatureInput[]) => readonly SiteFeatureInput[];
};

/** Reads the positions of a site that came in another coordinate system. */
export function siteFromCrs({ crs, axisOrder }: NamedCrs): SiteCrs {
  const { toLonLat } = crsConverter(crs);
  const convert = (position: PositionInput): PositionInput =>
    axisOrder === 'east-north' ? toLonLat(position[0], position[1]) : toLonLat(position[1], position[0]);
  return {
    locate(position) {
      const [first, second] = position;
      if (crs.unit === 'metre' && Math.abs(first) <= ANGLE_MAX_DEG && Math.abs(second) <= ANGLE_MAX_DEG) {
        return (
          `${first}, ${second} looks like degrees, not metres of EPSG:${crs.epsg} (${crs.name}): name the system that the site is ` +
          'in, or none for WGS 84; for the answer alone there is the header Accept-Crs'
        );
      }
      const place = convert(position);
      if (place.every(Number.isFinite)) return place;
      return `this is no place in EPSG:${crs.epsg} (${crs.name}): check which system the coordinates are in`;
    },
    toLonLat: (features) =>
      features.map((feature) =>
        feature.geometry === null ? feature : { ...feature, geometry: convertGeometry(feature.geometry, convert) },
      ),
  };
}

function convertGeometry(
  geometry: SiteGeometryInput,
  convert: (position: PositionInput) => PositionInput,
): SiteGeometryInput {
  switch (geometry.type) {
    case 'Point':
      return { ...geometry, coordinates: convert(geometry.coordinates) };
    case 'MultiPoint':
    case 'LineString':
      return { ...geometry, coordinates: geometry.coordinates.map(convert) };
    case 'MultiLineString':
    case 'Polygon':
      return { ...geometry, coordinates: geometry.coordinates.map((line) => line.map(convert)) };
    case 'MultiPolygon':
      return {
        ...geometry,
        coordinates: geometry.coordinates.map((polygon) => polygon.map((ring) => ring.map(convert))),
      };
    case 'GeometryCollection':
      return { ...geometry, geometries: geometry.geometries.map((part) => convertGeometry(part, convert)) };
  }
}
