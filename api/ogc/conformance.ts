const FEATURES = 'http://www.opengis.net/spec/ogcapi-features';
const CQL2 = 'http://www.opengis.net/spec/cql2/1.0/conf';
const COMMON = 'http://www.opengis.net/spec/ogcapi-common';

/** What the service claims to conform to; `tests/ogc` has a file for each family. */
export const CONFORMANCE: readonly string[] = [
  `${COMMON}-1/1.0/conf/core`,
  `${COMMON}-2/1.0/conf/collections`,
  ...['core', 'oas30', 'html', 'geojson'].map((name) => `${FEATURES}-1/1.0/conf/${name}`),
  `${FEATURES}-2/1.0/conf/crs`,
  ...['queryables', 'queryables-query-parameters', 'filter', 'features-filter'].map(
    (name) => `${FEATURES}-3/1.0/conf/${name}`,
  ),
  ...[
    'cql2-text',
    'cql2-json',
    'basic-cql2',
    'advanced-comparison-operators',
    'case-insensitive-comparison',
    'accent-insensitive-comparison',
    'basic-spatial-functions',
    'basic-spatial-functions-plus',
    'spatial-functions',
    'temporal-functions',
    'array-functions',
    'property-property',
    'arithmetic',
  ].map((name) => `${CQL2}/${name}`),
  ...['create-replace-delete', 'update', 'features', 'optimistic-locking-etags'].map(
    (name) => `${FEATURES}-4/1.0/conf/${name}`,
  ),
  ...['core', 'tileset', 'tilesets-list', 'dataset-tilesets', 'geodata-tilesets', 'oas30', 'mvt'].map(
    (name) => `http://www.opengis.net/spec/ogcapi-tiles-1/1.0/conf/${name}`,
  ),
  ...['core', 'ogc-process-description', 'json', 'html', 'oas30', 'job-list', 'dismiss'].map(
    (name) => `http://www.opengis.net/spec/ogcapi-processes-1/1.0/conf/${name}`,
  ),
  ...['core', 'mapbox-styles'].map((name) => `http://www.opengis.net/spec/ogcapi-styles-1/0.0/conf/${name}`),
  ...['schemas', 'returnables-and-receivables', 'queryables'].map((name) => `${COMMON}-3/1.0/conf/${name}`),
];
