/** Longitude folded into (-180, 180], degrees. */
export function normalLongitudeDeg(lonDeg: number): number {
  const turned = lonDeg - 360 * Math.round(lonDeg / 360);
  return turned === -180 ? 180 : turned;
}

/** Difference `lonDeg - fromDeg` the short way round, within [-180, 180], degrees; exact for meridians near each other. */
export function longitudeDifferenceDeg(lonDeg: number, fromDeg: number): number {
  const difference = lonDeg - fromDeg;
  return difference - 360 * Math.round(difference / 360);
}
