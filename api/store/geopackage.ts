import { COLLECTIONS, type Collection, type Field } from '#api/collections/collections.ts';
import type { Database, Statement } from './database.ts';

/** "GPKG", and version 1.3.0 (OGC 12-128r18, 1.1.1.1.1). */
export const APPLICATION_ID = 0x47504b47;
export const USER_VERSION = 10_300;

/** What every GeoPackage of features has (OGC 12-128r18, 1.1.2, 1.1.3, 2.1.5). */
export const TABLES = [
  `create table if not exists gpkg_spatial_ref_sys (srs_name text not null, srs_id integer primary key, organization text not null,
    organization_coordsys_id integer not null, definition text not null, description text)`,
  `create table if not exists gpkg_contents (table_name text not null primary key, data_type text not null, identifier text unique,
    description text default '', last_change datetime not null default (strftime('%Y-%m-%dT%H:%M:%fZ','now')), min_x double, min_y double,
    max_x double, max_y double, srs_id integer, constraint fk_gc_r_srs_id foreign key (srs_id) references gpkg_spatial_ref_sys(srs_id))`,
  `create table if not exists gpkg_geometry_columns (table_name text not null, column_name text not null, geometry_type_name text not null,
    srs_id integer not null, z tinyint not null, m tinyint not null, constraint pk_geom_cols primary key (table_name, column_name),
    constraint fk_gc_tn foreign key (table_name) references gpkg_contents(table_name),
    constraint fk_gc_srs foreign key (srs_id) references gpkg_spatial_ref_sys (srs_id))`,
];

const WGS_84 =
  'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],' +
  'PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]';
export const SYSTEMS = [
  ['Undefined cartesian', -1, 'NONE', -1, 'undefined'],
  ['Undefined geographic', 0, 'NONE', 0, 'undefined'],
  ['WGS 84', 4326, 'EPSG', 4326, WGS_84],
] as const;

const COLUMN_TYPES = { string: 'text', number: 'real', integer: 'integer', boolean: 'integer', array: 'text' } as const;

/**
 * Makes the SQLite file a GeoPackage: every collection is a view on the table of features, so that a desktop GIS opens the file and
 * sees what the service serves. Views may be feature layers (OGC 12-128r18, 2.1.1).
 */
export async function publishGeoPackage(database: Database): Promise<void> {
  const systems = SYSTEMS.map((values) => ({
    sql: `insert or ignore into gpkg_spatial_ref_sys (srs_name, srs_id, organization, organization_coordsys_id, definition)
      values (?, ?, ?, ?, ?)`,
    values,
  }));
  await database.write([
    { sql: `pragma application_id = ${APPLICATION_ID}` },
    { sql: `pragma user_version = ${USER_VERSION}` },
    ...TABLES.map((sql) => ({ sql })),
    ...systems,
    ...COLLECTIONS.flatMap(layerStatements),
  ]);
}

function layerStatements({ id, title, description, fields }: Collection): Statement[] {
  const columns = Object.entries(fields).map(([name, field]) => `${columnOf(name, field)} as "${name}"`);
  return [
    { sql: `drop view if exists "${id}"` },
    {
      sql: `create view "${id}" as select fid, geom, id, tenant_id, ${columns.join(', ')} from feature where collection = '${id}'`,
    },
    {
      sql: `insert into gpkg_contents (table_name, data_type, identifier, description, srs_id) values (?, 'features', ?, ?, 4326)
        on conflict (table_name) do update set identifier = excluded.identifier, description = excluded.description`,
      values: [id, title, description],
    },
    {
      sql: "insert or ignore into gpkg_geometry_columns values (?, 'geom', 'GEOMETRY', 4326, 0, 0)",
      values: [id],
    },
  ];
}

function columnOf(name: string, { type }: Field): string {
  if (name === 'site') return 'site_id';
  if (name === 'updated') return 'updated_at';
  return `cast(json_extract(properties, '$.${name}') as ${COLUMN_TYPES[type]})`;
}
