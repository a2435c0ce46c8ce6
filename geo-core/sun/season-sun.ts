import type { LocalPlane } from '#geo-core/model/position.ts';
import { sineCosine } from '#geo-core/projection/portable-functions.ts';
import { solarPosition } from './solar-position.ts';

/** A direction that the sun is seen in for some hours of the mowing season. */
export type SunDirection = {
  /** Unit vector towards the sun on the local plane. */
  readonly ux: number;
  readonly uy: number;
  /** Tangent of its elevation. */
  readonly rise: number;
};

/** A year in the middle of a leap cycle; the same day of another year has the sun within 0.2 degree. First day: 1 January, Julian date. */
const NEW_YEAR = 2_460_676.5;
/** Middle of the months in days from new year, January first. */
const MID_MONTHS = Array.from({ length: 12 }, (_, month) => 15 + 30.4 * month);
/** Grass grows from April to October, south of the equator from October to April, between the tropics all year. Common practice, no source. */
const NORTH = [3, 4, 5, 6, 7, 8, 9];
const SOUTH = [9, 10, 11, 0, 1, 2, 3];
const TROPIC_DEG = 23.44;
const EVERY_H = 2;
/** A lower sun warms little and is behind something nearly everywhere. Common practice, no source. */
const LEAST_ELEVATION_DEG = 8;

/** The months in which grass grows at a latitude, 0 January. */
export function growingMonths(latDeg: number): readonly number[] {
  if (Math.abs(latDeg) < TROPIC_DEG) return MID_MONTHS.map((_, month) => month);
  return latDeg > 0 ? NORTH : SOUTH;
}

/**
 * The sun's directions through the mowing season at the origin of a plane: the middle of every month, every two hours. Each stands for the
 * same time, so a share of directions is a share of sun hours.
 */
export function seasonSun({ originLatDeg: latDeg, originLonDeg: lonDeg, xAxis }: LocalPlane): SunDirection[] {
  const { east, north } = xAxis ?? { east: 1, north: 0 };
  return growingMonths(latDeg).flatMap((month) => {
    const day = NEW_YEAR + Math.round(MID_MONTHS[month]);
    const directions: SunDirection[] = [];
    for (let hour = EVERY_H / 2; hour < 24; hour += EVERY_H) {
      const { elevationDeg, azimuthDeg } = solarPosition(day + (hour - lonDeg / 15) / 24, latDeg, lonDeg);
      if (elevationDeg < LEAST_ELEVATION_DEG) continue;
      const azimuth = sineCosine((azimuthDeg * Math.PI) / 180);
      const elevation = sineCosine((elevationDeg * Math.PI) / 180);
      directions.push({
        ux: azimuth.sine * east + azimuth.cosine * north,
        uy: azimuth.cosine * east - azimuth.sine * north,
        rise: elevation.sine / elevation.cosine,
      });
    }
    return directions;
  });
}
