import type { Plan, PlanFeature, PlanGeometry, PlanKind, Position } from '#geo-core/model/plan.ts';
import { PLAN_KINDS } from '#geo-core/model/plan.ts';
import { spoken } from '#geo-core/model/spoken.ts';
import { element, type MarkUp, text, written } from './drawing/mark-up.ts';
import { flatProperties } from './flat-properties.ts';
import { KIND_STYLES } from './kind-styles.ts';
import type { PlanFormat } from './plan-format.ts';

/** The plan as an OGC KML 2.2 document (12-007r2): one folder a kind, figures as extended data, everything clamped to the ground. */
export const kml: PlanFormat = {
  id: 'kml',
  mediaType: 'application/vnd.google-earth.kml+xml',
  extension: 'kml',
  title: 'KML: the plan over a globe',
  write: (plan) => `<?xml version="1.0" encoding="UTF-8"?>\n${written(writeDocument(plan))}\n`,
};

function writeDocument({ features, name }: Plan): MarkUp {
  const { columns, rows } = flatProperties(features);
  const dataOf = (feature: number): MarkUp[] =>
    columns.flatMap(({ name: column }, k) => {
      const value = rows[feature][k];
      return value === null ? [] : [element('Data', { name: column }, leaf('value', String(value)))];
    });
  const folders = PLAN_KINDS.flatMap((kind) => {
    const placemarks = features.flatMap((feature, i) =>
      feature.properties.kind === kind ? [placemark(feature, dataOf(i))] : [],
    );
    return placemarks.length === 0 ? [] : [element('Folder', {}, leaf('name', kind), ...placemarks)];
  });
  const styles = PLAN_KINDS.map((kind) => style(kind));
  return element(
    'kml',
    { xmlns: 'http://www.opengis.net/kml/2.2' },
    element('Document', {}, leaf('name', name ?? 'Boundary wire plan'), ...styles, ...folders),
  );
}

function style(kind: PlanKind): MarkUp {
  const { line, fill, width } = KIND_STYLES[kind];
  return element(
    'Style',
    { id: kind },
    element('LineStyle', {}, leaf('color', colour(line)), leaf('width', String(width))),
    element('PolyStyle', {}, leaf('color', colour(fill))),
  );
}

/** rrggbbaa -> aabbggrr (OGC 12-007r2, 11.4). */
function colour(rgba: string): string {
  return [6, 4, 2, 0].map((at) => rgba.slice(at, at + 2)).join('');
}

function placemark({ id, properties, geometry }: PlanFeature, data: readonly MarkUp[]): MarkUp {
  return element(
    'Placemark',
    { id },
    leaf('name', spoken(id)),
    leaf('styleUrl', `#${properties.kind}`),
    element('ExtendedData', {}, ...data),
    shape(geometry),
  );
}

function shape(geometry: PlanGeometry): MarkUp {
  switch (geometry.type) {
    case 'Point':
      return element('Point', {}, coordinates([geometry.coordinates]));
    case 'LineString':
      return line(geometry.coordinates);
    case 'MultiLineString':
      return element('MultiGeometry', {}, ...geometry.coordinates.map(line));
    case 'Polygon':
      return polygon(geometry.coordinates);
    case 'MultiPolygon':
      return element('MultiGeometry', {}, ...geometry.coordinates.map(polygon));
  }
}

function line(positions: readonly Position[]): MarkUp {
  return element('LineString', {}, leaf('tessellate', '1'), coordinates(positions));
}

function polygon([outer, ...holes]: readonly (readonly Position[])[]): MarkUp {
  const ring = (name: string, positions: readonly Position[]) =>
    element(name, {}, element('LinearRing', {}, coordinates(positions)));
  return element(
    'Polygon',
    {},
    leaf('tessellate', '1'),
    ring('outerBoundaryIs', outer),
    ...holes.map((hole) => ring('innerBoundaryIs', hole)),
  );
}

function coordinates(positions: readonly Position[]): MarkUp {
  return leaf('coordinates', positions.map(([lonDeg, latDeg]) => `${lonDeg},${latDeg}`).join(' '));
}

function leaf(name: string, value: string): MarkUp {
  return element(name, {}, text(value));
}
