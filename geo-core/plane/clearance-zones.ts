import type { Polygon } from '#geo-core/model/position.ts';
import { type Bottleneck, type ClearanceOptions, clearanceGraph } from './clearance.ts';
import { cutPolygon } from './clearance-cut.ts';
import { kernel } from './kernel.ts';
import { polygonAreaM2, totalAreaM2 } from './measure.ts';
import { pointInPolygon, polygonsFromRings, ringsOf } from './polygons.ts';
import type { Place } from './widest-place.ts';

/** One polygon parted into ground that is mown throughout (with its corners) and the rest (corridors, tails). */
export type ClearanceZones = {
  /** In the order of `bottlenecks[].between`, widest first. */
  readonly zones: readonly { readonly widest: Place; readonly polygons: readonly Polygon[]; readonly areaM2: number }[];
  readonly rest: readonly Polygon[];
  readonly bottlenecks: readonly Bottleneck[];
  /** The widest circle at all, also where no zone is. */
  readonly widest?: Place;
};

/** Each try follows ways a quarter as wide. */
const TRIES = 4;
/** Following narrower ways ends when the samples are more than this and half as many again as at first. */
const MAX_SAMPLES = 12_000;

/**
 * Zones of one polygon. Where two zones hang together over a way too narrow to be followed, the ways are followed further down;
 * should they still not come apart, each gets the ground its full circles reach (opening: erosion by half the mowing width, then
 * growth), by the polygon kernel. Areas of zones and rest add up to the polygon's.
 */
export function clearanceZones(polygon: Polygon, options: ClearanceOptions, gridM: number): ClearanceZones {
  let followWidthM = options.followWidthM ?? options.driveWidthM / 2;
  let mostSamples = MAX_SAMPLES;
  for (let attempt = 0; ; attempt++, followWidthM /= 4) {
    const graph = clearanceGraph(polygon, { ...options, followWidthM });
    const { places, bottlenecks, cuts, widest } = graph;
    const figures = { bottlenecks, ...(widest && { widest }) };
    if (places.length === 0) return { zones: [], rest: [polygon], ...figures };
    if (places.length === 1 && cuts.length === 0) {
      return {
        zones: [{ widest: places[0], polygons: [polygon], areaM2: polygonAreaM2(polygon) }],
        rest: [],
        ...figures,
      };
    }
    const parts = cutPolygon(polygon, cuts);
    const placesOf = parts.map((part) => places.filter(({ at }) => pointInPolygon(part, at.x, at.y)));
    const isParted = placesOf.every((inside) => inside.length <= 1);
    if (attempt === 0) mostSamples = Math.max(MAX_SAMPLES, 1.5 * graph.sampleCount);
    const isLast = attempt + 1 >= TRIES || graph.sampleCount > mostSamples;
    if (!isParted && !isLast) continue;
    const rest: Polygon[] = [];
    const groundOf = new Map<Place, Polygon[]>(places.map((place) => [place, []]));
    parts.forEach((part, i) => {
      if (placesOf[i].length === 0) rest.push(part);
      else if (placesOf[i].length === 1) groundOf.get(placesOf[i][0])?.push(part);
      else rest.push(...partByErosion(polygon, part, placesOf[i], groundOf, options.mowWidthM / 2, gridM));
    });
    const zones = places.map((place) => {
      const polygons = groundOf.get(place) ?? [];
      return { widest: place, polygons, areaM2: totalAreaM2(polygons) };
    });
    return { zones, rest, ...figures };
  }
}

/** Gives each place, of what its eroded ground grows back to, as much as lies in the part; returns what is left over of the part. */
function partByErosion(
  polygon: Polygon,
  part: Polygon,
  places: readonly Place[],
  groundOf: Map<Place, Polygon[]>,
  mowM: number,
  gridM: number,
): Polygon[] {
  let left = ringsOf([part]);
  const cores = polygonsFromRings(kernel().offset(ringsOf([polygon]), -mowM, gridM));
  for (const place of places) {
    const core = cores.find((one) => pointInPolygon(one, place.at.x, place.at.y));
    if (core === undefined) continue;
    const grown = kernel().offset(ringsOf([core]), mowM, gridM);
    groundOf.get(place)?.push(...polygonsFromRings(kernel().intersection(left, grown, gridM)));
    left = kernel().difference(left, grown, gridM);
  }
  return polygonsFromRings(left);
}
