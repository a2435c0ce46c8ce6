import proj4 from 'proj4';
import { type LonLat, lonLat } from '#geo-core/model/position.ts';
import type { Crs } from './crs-registry.ts';
import { normalLongitudeDeg } from './longitude.ts';

/** Coordinates of a CRS, east (or longitude) first, in its unit. */
export type CrsPoint = { readonly x: number; readonly y: number };

export type CrsConverter = {
  /** CRS -> WGS 84 degrees, longitude in (-180, 180]; NaN where the point lies outside what the projection can show. */
  readonly toLonLat: (x: number, y: number) => LonLat;
  /** WGS 84 degrees -> CRS; NaN where the projection cannot show the point. */
  readonly fromLonLat: (lonDeg: number, latDeg: number) => CrsPoint;
};

/** The way between a CRS of the registry and WGS 84 (proj4js 2.22; heights do not change). Build once, call per point. */
export function crsConverter(crs: Crs): CrsConverter {
  const converter = proj4(crs.proj4);
  const run = (direction: 'forward' | 'inverse', first: number, second: number): [number, number] =>
    Number.isFinite(first) && Number.isFinite(second)
      ? converter[direction]([first, second])
      : [Number.NaN, Number.NaN];
  return {
    toLonLat(x, y) {
      const [lonDeg, latDeg] = run('inverse', x, y);
      return Math.abs(latDeg) <= 90 && Number.isFinite(lonDeg)
        ? lonLat(normalLongitudeDeg(lonDeg), latDeg)
        : lonLat(Number.NaN, Number.NaN);
    },
    fromLonLat(lonDeg, latDeg) {
      const [x, y] = run('forward', normalLongitudeDeg(lonDeg), latDeg);
      return { x, y };
    },
  };
}
