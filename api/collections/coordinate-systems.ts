import { CRS84_URI, type NamedCrs, parseCrs } from '#api/contract/parse-crs.ts';
import { HttpProblem } from '#api/problems.ts';
import { type Box, type Geometry, mapPositions, type Position } from '#api/store/geometry.ts';
import { crsConverter } from '#geo-core/index.ts';

const EPSG = 'http://www.opengis.net/def/crs/EPSG/0/';
const ALWAYS = [CRS84_URI, `${EPSG}4326`, `${EPSG}3857`, `${EPSG}4258`];
const ZONES_MAX = 4;
/** ETRS89 / UTM zones that the authority defines for Europe: 25828 to 25838. */
const ETRS89_ZONES = [28, 38] as const;

/** URIs of the systems a collection is offered in: those that fit everywhere, and the UTM zones that its features touch. */
export function crsUris(box: Box | undefined): string[] {
  if (box === undefined) return ALWAYS;
  const [west, south, east, north] = box;
  const zoneAt = (lon: number) => Math.min(60, Math.floor((lon + 180) / 6) + 1);
  const [first, last] = [zoneAt(west), zoneAt(east)];
  if (last - first >= ZONES_MAX) return ALWAYS;
  const zones = Array.from({ length: last - first + 1 }, (_, i) => first + i);
  return [
    ...ALWAYS,
    ...zones.flatMap((zone) => [
      ...(north >= 0 ? [`${EPSG}${32600 + zone}`] : []),
      ...(south < 0 ? [`${EPSG}${32700 + zone}`] : []),
      ...(north >= 0 && zone >= ETRS89_ZONES[0] && zone <= ETRS89_ZONES[1] ? [`${EPSG}${25800 + zone}`] : []),
    ]),
  ];
}

/** A way between a coordinate system, axes in its authority's order, and longitude and latitude. */
export type CrsWay = {
  readonly uri: string;
  readonly isLonLat: boolean;
  readonly fromLonLat: (position: Position) => Position;
  readonly toLonLat: (position: Position) => Position;
};

const LON_LAT: CrsWay = {
  uri: CRS84_URI,
  isLonLat: true,
  fromLonLat: (position) => position,
  toLonLat: (position) => position,
};

/** The system a parameter or header names, of those offered; 400 for any other. */
export function crsWay(name: string, value: string | undefined, offered: readonly string[]): CrsWay {
  if (value === undefined) return LON_LAT;
  const bare = value.trim().replace(/^<(.*)>$/, '$1');
  const system = offered.includes(bare) ? parseCrs(bare) : undefined;
  if (system === undefined) {
    throw new HttpProblem({
      code: 'invalid-parameter',
      detail: `${name}="${bare.slice(0, 80)}" is not offered here; known are ${offered.join(', ')}`,
    });
  }
  return wayOf(system);
}

/** Any system the service knows, for what comes in. */
export function anyCrsWay(name: string, value: string | undefined): CrsWay {
  if (value === undefined) return LON_LAT;
  const system = parseCrs(value);
  if (system !== undefined) return wayOf(system);
  throw new HttpProblem({ code: 'invalid-parameter', detail: `${name}="${value.slice(0, 80)}" is not known here` });
}

/** 0.1 mm, and about as much in degrees. */
const DECIMALS = { metre: 4, degree: 9 } as const;

function wayOf({ crs, axisOrder, name }: NamedCrs): CrsWay {
  if (name === CRS84_URI) return LON_LAT;
  const converter = crsConverter(crs);
  const decimals = DECIMALS[crs.unit];
  const swap = axisOrder === 'north-east';
  return {
    uri: name,
    isLonLat: false,
    fromLonLat([lon, lat]) {
      const { x, y } = converter.fromLonLat(lon, lat);
      const [east, north] = [Number(x.toFixed(decimals)), Number(y.toFixed(decimals))];
      return swap ? [north, east] : [east, north];
    },
    toLonLat([first, second]) {
      return swap ? converter.toLonLat(second, first) : converter.toLonLat(first, second);
    },
  };
}

export function geometryIn(way: CrsWay, geometry: Geometry): Geometry {
  return way.isLonLat ? geometry : mapPositions(geometry, way.fromLonLat);
}
