import type { PositionInput, SiteGeometryInput } from '#geo-core/model/site.ts';
import type { SiteDocument } from './site-document.ts';
import type { Metres, TableFrame } from './table-frame.ts';

/** The thing a click means: the nearest point or line within reach, else the smallest area around the place. */
export function pickFeature(
  { features }: SiteDocument,
  place: PositionInput,
  frame: TableFrame,
  reachM: number,
): string | null {
  const at = frame.toMetres(place);
  let best: { key: string; rank: number } | null = null;
  for (const { key, geometry } of features) {
    const rank = rankOf(geometry, at, frame, reachM);
    if (rank !== undefined && (best === null || rank < best.rank)) best = { key, rank };
  }
  return best?.key ?? null;
}

/** Points before lines before areas: below 1, below 2, from 2 on by size. */
function rankOf(geometry: SiteGeometryInput, at: Metres, frame: TableFrame, reachM: number): number | undefined {
  switch (geometry.type) {
    case 'Point': {
      const farM = distanceM(frame.toMetres(geometry.coordinates), at);
      return farM <= reachM ? farM / (reachM + 1) : undefined;
    }
    case 'LineString': {
      const line = geometry.coordinates.map(frame.toMetres);
      const farM = Math.min(...line.slice(1).map((end, i) => sideDistanceM(line[i], end, at)));
      return farM <= reachM / 2 ? 1 + farM / (reachM + 1) : undefined;
    }
    case 'Polygon': {
      const rings = geometry.coordinates.map((ring) => ring.map(frame.toMetres));
      return isInside(rings, at) ? 2 + Math.abs(twiceArea(rings[0])) : undefined;
    }
    default:
      return undefined;
  }
}

/** The side of a ring within reach of a place, or undefined. */
export function pickSide(ring: readonly Metres[], at: Metres, reachM: number): number | undefined {
  const farM = ring.map((corner, i) => sideDistanceM(corner, ring[(i + 1) % ring.length], at));
  const nearestM = Math.min(...farM);
  return nearestM <= reachM ? farM.indexOf(nearestM) : undefined;
}

function isInside(rings: readonly (readonly Metres[])[], [x, y]: Metres): boolean {
  let inside = false;
  for (const ring of rings) {
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [[ax, ay], [bx, by]] = [ring[i], ring[j]];
      if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
    }
  }
  return inside;
}

function twiceArea(ring: readonly Metres[]): number {
  return ring.reduce((sum, [x, y], i) => {
    const [nextX, nextY] = ring[(i + 1) % ring.length];
    return sum + x * nextY - y * nextX;
  }, 0);
}

function distanceM([ax, ay]: Metres, [bx, by]: Metres): number {
  return Math.hypot(ax - bx, ay - by);
}

function sideDistanceM(a: Metres, b: Metres, [x, y]: Metres): number {
  const [ux, uy] = [b[0] - a[0], b[1] - a[1]];
  const length2 = ux * ux + uy * uy;
  const along = length2 === 0 ? 0 : Math.max(0, Math.min(1, ((x - a[0]) * ux + (y - a[1]) * uy) / length2));
  return Math.hypot(x - a[0] - along * ux, y - a[1] - along * uy);
}
