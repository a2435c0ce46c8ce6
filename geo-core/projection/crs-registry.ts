/**
 * The coordinate reference systems that grids and sites may come in, by EPSG code. Definitions and datum transformations are
 * those of the EPSG dataset (method parameters in PROJ notation; seven-parameter shifts in the position vector convention).
 * Systems on ETRS89, NAD83, GDA and their like count as WGS 84: they differ from it by less than about two metres.
 */
export type Crs = {
  readonly epsg: number;
  readonly name: string;
  readonly unit: 'metre' | 'degree';
  /**
   * Order of the axes as the authority defines it. Grids, and everything in this code, hold east (or longitude) first
   * whatever it says: it matters only to who writes or reads coordinate lists under the authority's URI.
   */
  readonly axisOrder: 'east-north' | 'north-east';
  /** What is known of the way to WGS 84, metres. */
  readonly accuracyM: number;
  readonly proj4: string;
};

/** The system with an EPSG code, or undefined where this registry does not know it. */
export function crsByEpsg(epsg: number): Crs | undefined {
  return SINGLE.get(epsg) ?? utmZone(epsg);
}

/** The system that a WKT names (as in the `.prj` beside a grid): by EPSG authority, else by the name of its kind; else undefined. */
export function crsByWkt(wkt: string): Crs | undefined {
  const text = wkt.trim();
  // The authority of the whole stands last: those before it belong to parts (ellipsoid, datum, unit).
  const authority = /(?:AUTHORITY|ID)\s*\[\s*"EPSG"\s*,\s*"?(\d+)"?\s*\]\s*\]\s*$/i.exec(text);
  if (authority !== null) return crsByEpsg(Number(authority[1]));
  const named = /^(?:PROJCS|GEOGCS)\s*\[\s*"([^"]+)"/i.exec(text);
  return named === null ? undefined : crsByEsriName(named[1]);
}

/**
 * The UTM zone (WGS 84) of a place: six degrees wide from 180 W on (EPSG Guidance Note 7-2; the wider zones of Norway and Svalbard are not
 * heeded: a neighbouring zone shows a garden as well).
 */
export function utmByPlace(lonDeg: number, latDeg: number): Crs {
  const zone = Math.min(60, Math.floor((lonDeg + 180) / 6) + 1);
  const crs = crsByEpsg((latDeg < 0 ? 32_700 : 32_600) + zone);
  if (crs === undefined) throw new Error(`${lonDeg}, ${latDeg} lies in no UTM zone`);
  return crs;
}

const GRS80 = '+ellps=GRS80 +units=m +no_defs';

const SINGLE: ReadonlyMap<number, Crs> = new Map(
  (
    [
      [4326, 'WGS 84', 'degree', 'north-east', 0, '+proj=longlat +datum=WGS84 +no_defs'],
      [4258, 'ETRS89', 'degree', 'north-east', 1, '+proj=longlat +ellps=GRS80 +no_defs'],
      [4269, 'NAD83', 'degree', 'north-east', 2, '+proj=longlat +ellps=GRS80 +no_defs'],
      [
        3857,
        'WGS 84 / Pseudo-Mercator',
        'metre',
        'east-north',
        0,
        '+proj=merc +a=6378137 +b=6378137 +lat_ts=0 +lon_0=0 +x_0=0 +y_0=0 +k=1 +units=m +nadgrids=@null +no_defs',
      ],
      [
        28992,
        'Amersfoort / RD New',
        'metre',
        'east-north',
        1,
        '+proj=sterea +lat_0=52.1561605555556 +lon_0=5.38763888888889 +k=0.9999079 +x_0=155000 +y_0=463000 +ellps=bessel ' +
          '+towgs84=565.4171,50.3319,465.5524,-0.398957388243134,0.343987817378283,-1.87740163998045,4.0725 +units=m +no_defs',
      ],
      [
        31370,
        'BD72 / Belgian Lambert 72',
        'metre',
        'east-north',
        1,
        '+proj=lcc +lat_0=90 +lon_0=4.36748666666667 +lat_1=51.1666672333333 +lat_2=49.8333339 +x_0=150000.013 ' +
          '+y_0=5400088.438 +ellps=intl +towgs84=-106.8686,52.2978,-103.7239,0.3366,-0.457,1.8422,-1.2747 +units=m +no_defs',
      ],
      [
        3812,
        'ETRS89 / Belgian Lambert 2008',
        'metre',
        'east-north',
        1,
        `+proj=lcc +lat_0=50.797815 +lon_0=4.35921583333333 +lat_1=49.8333333333333 +lat_2=51.1666666666667 +x_0=649328 +y_0=665262 ${GRS80}`,
      ],
      [
        2154,
        'RGF93 v1 / Lambert-93',
        'metre',
        'east-north',
        1,
        `+proj=lcc +lat_0=46.5 +lon_0=3 +lat_1=49 +lat_2=44 +x_0=700000 +y_0=6600000 ${GRS80}`,
      ],
      [
        27700,
        'OSGB36 / British National Grid',
        'metre',
        'east-north',
        2,
        '+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy ' +
          '+towgs84=446.448,-125.157,542.06,0.15,0.247,0.842,-20.489 +units=m +no_defs',
      ],
      [
        2157,
        'IRENET95 / Irish Transverse Mercator',
        'metre',
        'east-north',
        1,
        `+proj=tmerc +lat_0=53.5 +lon_0=-8 +k=0.99982 +x_0=600000 +y_0=750000 ${GRS80}`,
      ],
      [
        2056,
        'CH1903+ / LV95',
        'metre',
        'east-north',
        1,
        '+proj=somerc +lat_0=46.9524055555556 +lon_0=7.43958333333333 +k_0=1 +x_0=2600000 +y_0=1200000 +ellps=bessel ' +
          '+towgs84=674.374,15.056,405.346 +units=m +no_defs',
      ],
      [
        21781,
        'CH1903 / LV03',
        'metre',
        'east-north',
        1,
        '+proj=somerc +lat_0=46.9524055555556 +lon_0=7.43958333333333 +k_0=1 +x_0=600000 +y_0=200000 +ellps=bessel ' +
          '+towgs84=674.374,15.056,405.346 +units=m +no_defs',
      ],
      [
        5514,
        'S-JTSK / Krovak East North',
        'metre',
        'east-north',
        6,
        '+proj=krovak +lat_0=49.5 +lon_0=24.8333333333333 +alpha=30.2881397527778 +k=0.9999 +x_0=0 +y_0=0 +ellps=bessel ' +
          '+towgs84=572.213,85.334,461.94,4.9732,1.529,5.2484,3.5378 +units=m +no_defs',
      ],
      [3006, 'SWEREF99 TM', 'metre', 'north-east', 1, `+proj=utm +zone=33 ${GRS80}`],
      [3067, 'ETRS89 / TM35FIN(E,N)', 'metre', 'east-north', 1, `+proj=utm +zone=35 ${GRS80}`],
      [
        2180,
        'ETRF2000-PL / CS92',
        'metre',
        'north-east',
        1,
        `+proj=tmerc +lat_0=0 +lon_0=19 +k=0.9993 +x_0=500000 +y_0=-5300000 ${GRS80}`,
      ],
      [
        3763,
        'ETRS89 / Portugal TM06',
        'metre',
        'east-north',
        1,
        `+proj=tmerc +lat_0=39.6682583333333 +lon_0=-8.13310833333333 +k=1 +x_0=0 +y_0=0 ${GRS80}`,
      ],
      [
        3035,
        'ETRS89-extended / LAEA Europe',
        'metre',
        'north-east',
        1,
        `+proj=laea +lat_0=52 +lon_0=10 +x_0=4321000 +y_0=3210000 ${GRS80}`,
      ],
      [
        2193,
        'NZGD2000 / New Zealand Transverse Mercator 2000',
        'metre',
        'north-east',
        1,
        `+proj=tmerc +lat_0=0 +lon_0=173 +k=0.9996 +x_0=1600000 +y_0=10000000 ${GRS80}`,
      ],
    ] as const
  ).map(([epsg, name, unit, axisOrder, accuracyM, proj4]) => [epsg, { epsg, name, unit, axisOrder, accuracyM, proj4 }]),
);

/** Families of UTM zones: zone = code - `before`. */
const UTM_FAMILIES = [
  { before: 32600, zones: [1, 60], hemisphere: 'N', name: 'WGS 84 / UTM zone', datum: '+datum=WGS84', accuracyM: 0 },
  { before: 32700, zones: [1, 60], hemisphere: 'S', name: 'WGS 84 / UTM zone', datum: '+datum=WGS84', accuracyM: 0 },
  { before: 25800, zones: [28, 38], hemisphere: 'N', name: 'ETRS89 / UTM zone', datum: '+ellps=GRS80', accuracyM: 1 },
  { before: 26900, zones: [1, 23], hemisphere: 'N', name: 'NAD83 / UTM zone', datum: '+ellps=GRS80', accuracyM: 2 },
  {
    before: 6329,
    zones: [1, 19],
    hemisphere: 'N',
    name: 'NAD83(2011) / UTM zone',
    datum: '+ellps=GRS80',
    accuracyM: 2,
  },
  { before: 28300, zones: [48, 58], hemisphere: 'S', name: 'GDA94 / MGA zone', datum: '+ellps=GRS80', accuracyM: 2 },
  { before: 7800, zones: [46, 59], hemisphere: 'S', name: 'GDA2020 / MGA zone', datum: '+ellps=GRS80', accuracyM: 2 },
] as const;

function utmZone(epsg: number): Crs | undefined {
  for (const family of UTM_FAMILIES) {
    const zone = epsg - family.before;
    if (!Number.isInteger(zone) || zone < family.zones[0] || zone > family.zones[1]) continue;
    const suffix = family.name.endsWith('UTM zone') ? family.hemisphere : '';
    const south = family.hemisphere === 'S' ? ' +south' : '';
    return {
      epsg,
      name: `${family.name} ${zone}${suffix}`,
      unit: 'metre',
      axisOrder: 'east-north',
      accuracyM: family.accuracyM,
      proj4: `+proj=utm +zone=${zone}${south} ${family.datum} +units=m +no_defs`,
    };
  }
  return undefined;
}

/** Names that `.prj` files without an authority use for the systems of this registry. */
const ESRI_NAMES: Readonly<Record<string, number>> = {
  gcs_wgs_1984: 4326,
  gcs_etrs_1989: 4258,
  gcs_north_american_1983: 4269,
  wgs_1984_web_mercator_auxiliary_sphere: 3857,
  rd_new: 28992,
  belge_lambert_1972: 31370,
  belge_lambert_2008: 3812,
  etrs_1989_belgian_lambert_2008: 3812,
  rgf_1993_lambert_93: 2154,
  british_national_grid: 27700,
  irenet95_irish_transverse_mercator: 2157,
  'ch1903+_lv95': 2056,
  ch1903_lv03: 21781,
  's-jtsk_krovak_east_north': 5514,
  sweref99_tm: 3006,
  etrs_1989_tm35fin: 3067,
  etrs_1989_laea: 3035,
  etrs_1989_portugal_tm06: 3763,
  'etrf2000-pl_cs92': 2180,
  nzgd_2000_new_zealand_transverse_mercator: 2193,
};

const ESRI_ZONES = [
  { pattern: /^wgs_1984_utm_zone_(\d+)n$/, before: 32600 },
  { pattern: /^wgs_1984_utm_zone_(\d+)s$/, before: 32700 },
  { pattern: /^etrs_1989_utm_zone_(\d+)n$/, before: 25800 },
  { pattern: /^nad_1983_utm_zone_(\d+)n$/, before: 26900 },
  { pattern: /^nad_1983_2011_utm_zone_(\d+)n$/, before: 6329 },
  { pattern: /^gda_1994_mga_zone_(\d+)$/, before: 28300 },
  { pattern: /^gda2020_mga_zone_(\d+)$/, before: 7800 },
] as const;

function crsByEsriName(name: string): Crs | undefined {
  const key = name.trim().toLowerCase().replaceAll(' ', '_');
  if (Object.hasOwn(ESRI_NAMES, key)) return crsByEpsg(ESRI_NAMES[key]);
  for (const { pattern, before } of ESRI_ZONES) {
    const zone = pattern.exec(key);
    if (zone !== null) return crsByEpsg(before + Number(zone[1]));
  }
  return undefined;
}
