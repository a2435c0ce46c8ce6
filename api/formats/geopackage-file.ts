import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type Libsql from 'libsql';
import type { Geometry } from '#api/store/geometry.ts';
import { geometryBytes } from '#api/store/geometry-bytes.ts';
import { APPLICATION_ID, SYSTEMS, TABLES, USER_VERSION } from '#api/store/geopackage.ts';
import { flatProperties } from '#geo-core/index.ts';
import { PLAN_KINDS, type Plan, type PlanFeature, type PlanKind } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { FileFormat } from './file-format.ts';
import { type GeometryFamily, layerStyle } from './layer-style.ts';

const open = createRequire(import.meta.url)('libsql') as typeof Libsql;

/** One layer a kind, styled, in WGS 84 (OGC 12-128r18). */
export const geopackageFile: FileFormat = {
  id: 'gpkg',
  mediaType: 'application/geopackage+sqlite3',
  extension: 'gpkg',
  title: 'GeoPackage: styled layers for GIS',
  write: writeGeoPackage,
};

/** A plan has no date: two files of one plan are the same. */
const LAST_CHANGE = '2000-01-01T00:00:00.000Z';
const WGS_84 = 4326;

/** The styles of layers as desktop GIS keeps them in a GeoPackage: a table of this name and these columns (common practice, no standard). */
const STYLES = `create table layer_styles (id integer primary key autoincrement not null, f_table_catalog text(256), f_table_schema text(256),
  f_table_name text(256), f_geometry_column text(256), styleName text(30), styleQML text, styleSLD text, useAsDefault boolean,
  description text, owner text(30), ui text(30), update_time datetime)`;

/** SQLite writes files, so it gets one, in a folder of its own that is gone afterwards. */
function writeGeoPackage(plan: Plan): Uint8Array {
  const folder = mkdtempSync(join(tmpdir(), 'loopwright-gpkg-'));
  try {
    const path = join(folder, 'plan.gpkg');
    const file = new open(path);
    try {
      file.exec(`pragma journal_mode = off; pragma synchronous = off; pragma application_id = ${APPLICATION_ID}`);
      file.exec(`pragma user_version = ${USER_VERSION}; begin; ${TABLES.join(';')}; ${STYLES}`);
      fill(file, plan);
      file.exec('commit');
    } finally {
      file.close();
    }
    return Uint8Array.from(readFileSync(path));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function fill(file: Libsql.Database, { features }: Plan): void {
  const system = file.prepare(
    `insert into gpkg_spatial_ref_sys (srs_name, srs_id, organization, organization_coordsys_id, definition) values (?, ?, ?, ?, ?)`,
  );
  for (const values of SYSTEMS) system.run([...values]);
  contents(file, 'layer_styles', 'attributes', [null, null, null, null, null]);
  for (const kind of PLAN_KINDS) {
    const ofKind = features.filter(({ properties }) => properties.kind === kind);
    if (ofKind.length > 0) layer(file, kind, ofKind);
  }
}

function contents(
  file: Libsql.Database,
  name: string,
  type: 'features' | 'attributes',
  place: readonly (number | null)[],
): void {
  file
    .prepare('insert into gpkg_contents values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)')
    .run([name, type, name, '', LAST_CHANGE, ...place]);
}

function layer(file: Libsql.Database, kind: PlanKind, features: readonly PlanFeature[]): void {
  const { columns, rows } = flatProperties(features);
  const isMulti = features.some(({ geometry }) => geometry.type.startsWith('Multi'));
  const geometries = features.map(({ geometry }) => (isMulti ? manifold(geometry) : geometry));
  const [{ type }] = geometries;
  const fields = columns.map(({ name, type: of }) => `"${name}" ${of === 'number' ? 'double' : 'text'}`);
  const positions = features.flatMap(({ geometry }) => positionsOf(geometry));
  contents(file, kind, 'features', [...boxOf(positions), WGS_84]);
  file.exec(
    `create table "${kind}" (fid integer primary key autoincrement not null, geom ${type.toUpperCase()}, ${fields.join(', ')})`,
  );
  file
    .prepare("insert into gpkg_geometry_columns values (?, 'geom', ?, ?, 0, 0)")
    .run([kind, type.toUpperCase(), WGS_84]);
  const insert = file.prepare(`insert into "${kind}" values (null, ?${', ?'.repeat(columns.length)})`);
  for (const [i, geometry] of geometries.entries()) insert.run([Buffer.from(geometryBytes(geometry)), ...rows[i]]);
  const { qml, sld } = layerStyle(kind, familyOf(type));
  file
    .prepare(
      "insert into layer_styles values (null, '', '', ?, 'geom', 'Loopwright', ?, ?, 1, 'as the plan is drawn', '', null, ?)",
    )
    .run([kind, qml, sld, LAST_CHANGE]);
}

/** A layer has one type of geometry: where some features have several parts, all are lists of parts. */
function manifold(geometry: PlanFeature['geometry']): Geometry {
  switch (geometry.type) {
    case 'Point':
      return { type: 'MultiPoint', coordinates: [geometry.coordinates] };
    case 'LineString':
      return { type: 'MultiLineString', coordinates: [geometry.coordinates] };
    case 'Polygon':
      return { type: 'MultiPolygon', coordinates: [geometry.coordinates] };
    default:
      return geometry;
  }
}

function familyOf(type: Geometry['type']): GeometryFamily {
  if (type.endsWith('Point')) return 'point';
  return type.endsWith('Polygon') ? 'area' : 'line';
}

function boxOf(positions: readonly (readonly [number, number])[]): number[] {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [lonDeg, latDeg] of positions) {
    box[0] = Math.min(box[0], lonDeg);
    box[1] = Math.min(box[1], latDeg);
    box[2] = Math.max(box[2], lonDeg);
    box[3] = Math.max(box[3], latDeg);
  }
  return box;
}
