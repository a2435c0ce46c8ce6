import type { NewFeature } from './features.ts';
import { type Box, boxOf, type Geometry } from './geometry.ts';

/** Half the side of the square that stands for a single point: about a metre. */
const LEAST_DEG = 0.000_01;

/** The ground a site covers: its parcels, else its lawns, else all its areas, else the box around everything. */
export function footprintOf(features: readonly Pick<NewFeature, 'geometry' | 'properties'>[]): Geometry {
  for (const kinds of [['parcel'], ['lawn'], undefined]) {
    const polygons = features
      .filter(({ properties }) => kinds === undefined || kinds.some((kind) => kind === properties.kind))
      .flatMap(({ geometry }) => polygonsIn(geometry));
    if (polygons.length > 0) return { type: 'MultiPolygon', coordinates: polygons };
  }
  return boxPolygon(features.map(({ geometry }) => boxOf(geometry)));
}

function polygonsIn(geometry: Geometry) {
  if (geometry.type === 'Polygon') return [geometry.coordinates];
  return geometry.type === 'MultiPolygon' ? geometry.coordinates : [];
}

function boxPolygon(boxes: readonly Box[]): Geometry {
  const west = Math.min(...boxes.map((box) => box[0])) - LEAST_DEG;
  const south = Math.min(...boxes.map((box) => box[1])) - LEAST_DEG;
  const east = Math.max(...boxes.map((box) => box[2])) + LEAST_DEG;
  const north = Math.max(...boxes.map((box) => box[3])) + LEAST_DEG;
  return {
    type: 'MultiPolygon',
    coordinates: [
      [
        [
          [west, south],
          [east, south],
          [east, north],
          [west, north],
          [west, south],
        ],
      ],
    ],
  };
}
