import { crsConverter, walkPositions } from '#geo-core/index.ts';
import type { ProblemList } from '#geo-core/model/problem.ts';
import type { PositionInput, SiteFeatureInput, SiteGeometryInput, SiteInput } from '#geo-core/model/site.ts';
import type { NamedCrs } from './parse-crs.ts';

/** A site in another coordinate system -> longitude, latitude; positions that the system cannot show go to `list`. */
export function siteFromCrs(site: SiteInput, { crs, axisOrder }: NamedCrs, list: ProblemList): SiteInput {
  const { toLonLat } = crsConverter(crs);
  const convert = (position: PositionInput): PositionInput =>
    axisOrder === 'east-north' ? toLonLat(position[0], position[1]) : toLonLat(position[1], position[0]);
  const features = site.features.map((feature, index): SiteFeatureInput => {
    if (feature.geometry === null) return feature;
    const geometry = convertGeometry(feature.geometry, convert);
    walkPositions(geometry, ['features', index, 'geometry'], ([lonDeg, latDeg], path) => {
      if (!Number.isFinite(lonDeg) || !Number.isFinite(latDeg)) {
        list.add(path, `this is no place in EPSG:${crs.epsg} (${crs.name}): check which system the coordinates are in`);
      }
    });
    return { ...feature, geometry };
  });
  return { ...site, features };
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
