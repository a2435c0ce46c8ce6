import type { NamedCrs } from '#api/contract/parse-crs.ts';
import { crsConverter } from '#geo-core/index.ts';
import type { Plan, PlanGeometry } from '#geo-core/model/plan.ts';

type Position = readonly [number, number];

const METRE_DECIMALS = 4;
const DEGREE_DECIMALS = 9;

/** A plan with all its positions in another coordinate system, metres to 0.1 mm. It is then no longer RFC 7946. */
export function planInCrs(plan: Plan, { crs, axisOrder }: NamedCrs): Plan {
  const { fromLonLat } = crsConverter(crs);
  const decimals = crs.unit === 'metre' ? METRE_DECIMALS : DEGREE_DECIMALS;
  const convert = ([lonDeg, latDeg]: Position): Position => {
    const { x, y } = fromLonLat(lonDeg, latDeg);
    const [east, north] = [Number(x.toFixed(decimals)), Number(y.toFixed(decimals))];
    return axisOrder === 'east-north' ? [east, north] : [north, east];
  };
  const place = <Thing extends { readonly at: Position | null }>(thing: Thing): Thing => ({
    ...thing,
    at: thing.at === null ? null : convert(thing.at),
  });
  const features = plan.features.map((feature) => ({
    ...feature,
    geometry: convertGeometry(feature.geometry, convert),
  }));
  const { bbox: _, ...rest } = plan;
  return {
    ...rest,
    features,
    findings: plan.findings.map(place),
    audit: { ...plan.audit, checks: plan.audit.checks.map(place) },
  };
}

function convertGeometry(geometry: PlanGeometry, convert: (position: Position) => Position): PlanGeometry {
  switch (geometry.type) {
    case 'Point':
      return { ...geometry, coordinates: convert(geometry.coordinates) };
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
  }
}
