import type Flatbush from 'flatbush';
import type { PlaneFeature } from '#geo-core/model/site.ts';
import { ringSegments, segmentIndex } from '#geo-core/plane/box-index.ts';
import { rayMeets } from '#geo-core/plane/ray-meets.ts';
import { segmentsOf } from '#geo-core/plane/shape-segments.ts';
import { sineCosine } from '#geo-core/projection/portable-functions.ts';
import type { SunDirection } from './season-sun.ts';

/**
 * What throws shade: faces as segments ax, ay, bx, by with a height each, metres. A face hides the sun where the sun's ray
 * meets it lower than its top: a thing of height h reaches h / tan(elevation) far, straight away from the sun.
 */
export type ShadeCasters = {
  readonly segments: Float64Array;
  readonly heightsM: readonly number[];
  readonly index: Flatbush | undefined;
  readonly highestM: number;
};

/** Crowns are drawn by the trunk: as wide as a third of the tree's height is common (common practice, no source). */
const CROWN_SHARE = 1 / 6;
const CROWN_CORNERS = 8;

/** Faces of buildings, obstacles, planting, walls, fences, hedges and trees whose height is known; undefined where there are none. */
export function shadeCasters(features: readonly PlaneFeature[]): ShadeCasters | undefined {
  const parts: Float64Array[] = [];
  const heightsM: number[] = [];
  for (const feature of features) {
    const { heightM } = feature;
    if (heightM === undefined || !(heightM > 0)) continue;
    const own = facesOf(feature, heightM);
    parts.push(own);
    for (let i = 0; i < own.length; i += 4) heightsM.push(heightM);
  }
  if (heightsM.length === 0) return undefined;
  const segments = new Float64Array(4 * heightsM.length);
  let at = 0;
  for (const part of parts) {
    segments.set(part, at);
    at += part.length;
  }
  const highestM = heightsM.reduce((highest, heightM) => Math.max(highest, heightM), 0);
  return { segments, heightsM, index: segmentIndex(segments), highestM };
}

function facesOf({ kind, shape }: PlaneFeature, heightM: number): Float64Array {
  if (kind === 'tree' && shape.type === 'point') {
    return ringSegments(shape.points.map(({ x, y }) => crownRing(x, y, heightM * CROWN_SHARE)));
  }
  return segmentsOf(shape);
}

function crownRing(x: number, y: number, radiusM: number): Float64Array {
  return Float64Array.from({ length: 2 * CROWN_CORNERS }, (_, i) => {
    const { sine, cosine } = sineCosine((2 * Math.PI * (i >> 1)) / CROWN_CORNERS);
    return i % 2 === 0 ? x + radiusM * cosine : y + radiusM * sine;
  });
}

/** Share of the sun's directions (0 to 1) in which a place on the ground lies in shade. */
export function shadedShare(casters: ShadeCasters, sun: readonly SunDirection[], x: number, y: number): number {
  const { segments, heightsM, index, highestM } = casters;
  if (sun.length === 0 || index === undefined) return 0;
  const leastRise = sun.reduce((least, { rise }) => Math.min(least, rise), Number.POSITIVE_INFINITY);
  const reachM = highestM / leastRise;
  const near = index.search(x - reachM, y - reachM, x + reachM, y + reachM);
  const isHidden = ({ ux, uy, rise }: SunDirection): boolean =>
    near.some((segment) => {
      const farM = rayMeets(x, y, ux, uy, segments, segment);
      return farM >= 0 && farM * rise < heightsM[segment];
    });
  return sun.filter(isHidden).length / sun.length;
}
