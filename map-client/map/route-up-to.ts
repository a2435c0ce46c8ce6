import type { DrawnFeature, DrawnSheet, LonLatPair } from '../drawing.ts';

/** The route's sheet as it is after the crew has laid `laidM` metres of each wire; other features stay whole. */
export function routeUpTo(sheet: DrawnSheet, laidM: number): DrawnSheet {
  return {
    type: 'FeatureCollection',
    features: sheet.features.flatMap((feature): DrawnFeature[] => {
      const { fromM, toM, atM } = feature.properties;
      if (typeof atM === 'number') return atM <= laidM ? [feature] : [];
      if (typeof fromM !== 'number' || typeof toM !== 'number' || toM <= laidM) return [feature];
      if (fromM >= laidM || feature.geometry.type !== 'LineString') return [];
      const coordinates = cut(feature.geometry.coordinates, (laidM - fromM) / (toM - fromM));
      return [{ ...feature, geometry: { type: 'LineString', coordinates } }];
    }),
  };
}

/** The longest chainage on the sheet, metres. */
export function laidInAllM(sheet: DrawnSheet): number {
  return sheet.features.reduce((most, { properties }) => Math.max(most, Number(properties.toM ?? 0)), 0);
}

/** The first `share` of a line; degrees are near enough for a picture of half a second. */
function cut(line: readonly LonLatPair[], share: number): LonLatPair[] {
  const lengths = line.slice(1).map(([x, y], i) => Math.sqrt((x - line[i][0]) ** 2 + (y - line[i][1]) ** 2));
  let rest = share * lengths.reduce((sum, length) => sum + length, 0);
  const result: LonLatPair[] = [line[0]];
  for (const [i, length] of lengths.entries()) {
    const [a, b] = [line[i], line[i + 1]];
    if (length >= rest) {
      const part = length === 0 ? 0 : rest / length;
      result.push([a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part]);
      return result;
    }
    result.push(b);
    rest -= length;
  }
  return result;
}
