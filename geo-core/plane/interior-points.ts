import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import { boxOf, ringsOf } from './polygons.ts';

/**
 * At most `count` points inside a polygon, spread over it, always the same: on level rows, inside the stretches that a row
 * shares with the polygon, widest stretch first. Empty only where the polygon has no width.
 */
export function interiorPoints(polygon: Polygon, count: number): PlanePoint[] {
  const [minX, minY, maxX, maxY] = boxOf(polygon.outer);
  const [widthM, heightM] = [maxX - minX, maxY - minY];
  if (!(widthM > 0 && heightM > 0) || count < 1) return [];
  const rows = Math.min(count, Math.max(1, Math.round(Math.sqrt((count * heightM) / widthM))));
  const perRow = Math.floor(count / rows);
  return Array.from({ length: rows }, (_, row) => minY + (heightM * (row + 0.5)) / rows).flatMap((y) =>
    rowPoints(polygon, y, perRow),
  );
}

function rowPoints(polygon: Polygon, y: number, count: number): PlanePoint[] {
  const stretches = stretchesInside(polygon, y).toSorted((a, b) => b.widthM - a.widthM || a.fromX - b.fromX);
  const insideM = stretches.reduce((sum, { widthM }) => sum + widthM, 0);
  const points: PlanePoint[] = [];
  for (const { fromX, widthM } of stretches) {
    const own = Math.min(count - points.length, Math.max(1, Math.round((count * widthM) / insideM)));
    for (let i = 0; i < own; i++) points.push({ x: fromX + (widthM * (i + 0.5)) / own, y });
  }
  return points;
}

function stretchesInside(polygon: Polygon, y: number): { fromX: number; widthM: number }[] {
  const crossings: number[] = [];
  for (const ring of ringsOf([polygon])) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      const [yi, yj] = [ring[i + 1], ring[j + 1]];
      if (yi > y !== yj > y) crossings.push(((ring[j] - ring[i]) * (y - yi)) / (yj - yi) + ring[i]);
    }
  }
  crossings.sort((a, b) => a - b);
  const stretches: { fromX: number; widthM: number }[] = [];
  for (let i = 0; i + 1 < crossings.length; i += 2) {
    const widthM = crossings[i + 1] - crossings[i];
    if (widthM > 0) stretches.push({ fromX: crossings[i], widthM });
  }
  return stretches;
}
