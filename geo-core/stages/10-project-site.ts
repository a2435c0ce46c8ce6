import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { LocalPlane, LonLat, Polyline, Ring } from '#geo-core/model/position.ts';
import type { FeatureAttributes, PlaneFeature, PlaneShape, PlaneSite, Site } from '#geo-core/model/site.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonPerimeterM, ringAreaM2, ringLengthM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings } from '#geo-core/plane/polygons.ts';
import { type LocalPlaneProjection, localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { longitudeDifferenceDeg } from '#geo-core/projection/longitude.ts';

/**
 * Finest grid first. The kernel counts in 64-bit integers and its directions in doubles: 4e8 units leave eight digits below
 * the millimetre at the finest grid and a hundredth of it at the coarsest (DECISIONS.md has the trials).
 */
const GRIDS: readonly { readonly gridM: number; readonly reachM: number }[] = [
  { gridM: 1e-7, reachM: 40 },
  { gridM: 1e-6, reachM: 400 },
  { gridM: 1e-5, reachM: 4000 },
  { gridM: 1e-4, reachM: 40_000 },
];

/** Area moved, or outline lost, by the even-odd reading that is worth a word: square metres, metres. */
const MEND_WORTH_SAYING_M2 = 0.000_1;
const MEND_WORTH_SAYING_M = 0.01;

/**
 * Site in longitude and latitude -> site in metres of its own local plane, areas clean: rings that cross themselves or
 * each other are read by the even-odd rule, as a surveyor would colour them; each such mend is a finding.
 */
export function projectSite(site: Site): Staged<PlaneSite> {
  const findings: Finding[] = [];
  const plane = planeOf(site);
  const projection = localPlaneProjection(plane);
  const projected = site.features.map((feature) => ({ feature, shape: project(feature.shape, projection) }));
  const reachM = projected.reduce((reach, { shape }) => Math.max(reach, reachOf(shape)), 0);
  const gridM = (GRIDS.find((grid) => reachM <= grid.reachM) ?? GRIDS[GRIDS.length - 1]).gridM;
  const features = projected.map(({ feature, shape }): PlaneFeature => {
    const { shape: _, ...attributes } = feature;
    if (shape.type !== 'area') return { ...attributes, shape };
    const polygons = polygonsFromRings(kernel().evenOdd(shape.rings, gridM));
    const movedM2 = totalAreaM2(polygons) - shape.areaM2;
    const lostM = shape.perimeterM - polygons.reduce((sum, polygon) => sum + polygonPerimeterM(polygon), 0);
    if (
      Math.abs(movedM2) > MEND_WORTH_SAYING_M2 + snappedM2(shape.perimeterM, gridM) ||
      Math.abs(lostM) > MEND_WORTH_SAYING_M
    ) {
      findings.push(crossingMended(feature, movedM2, lostM, shape.rings[0]));
    }
    return { ...attributes, shape: { type: 'area', polygons } };
  });
  return { output: { ...site, plane, gridM, features }, findings };
}

type Projected =
  | { readonly type: 'area'; readonly rings: readonly Ring[]; readonly areaM2: number; readonly perimeterM: number }
  | Exclude<PlaneShape, { type: 'area' }>;

/** The origin: the middle of the site's box, longitudes counted from its first position so that 180 degrees may lie inside. */
function planeOf(site: Site): LocalPlane {
  let first: LonLat | undefined;
  let [west, east, south, north] = [0, 0, 90, -90];
  for (const { shape } of site.features) {
    for (const position of positionsOf(shape)) {
      first ??= position;
      const differenceDeg = longitudeDifferenceDeg(position[0], first[0]);
      west = Math.min(west, differenceDeg);
      east = Math.max(east, differenceDeg);
      south = Math.min(south, position[1]);
      north = Math.max(north, position[1]);
    }
  }
  if (first === undefined) return { originLonDeg: 0, originLatDeg: 0 };
  return { originLonDeg: first[0] + (west + east) / 2, originLatDeg: (south + north) / 2 };
}

function* positionsOf(shape: Site['features'][number]['shape']): Generator<LonLat> {
  if (shape.type === 'point') yield* shape.points;
  else if (shape.type === 'line') for (const line of shape.lines) yield* line;
  else for (const polygon of shape.polygons) for (const ring of polygon) yield* ring;
}

function project(shape: Site['features'][number]['shape'], projection: LocalPlaneProjection): Projected {
  switch (shape.type) {
    case 'point':
      return { type: 'point', points: shape.points.map(([lonDeg, latDeg]) => projection.toPlane(lonDeg, latDeg)) };
    case 'line':
      return { type: 'line', lines: shape.lines.map((line) => flat(line, projection)) };
    case 'area': {
      const polygons = shape.polygons.map((polygon) => polygon.map((ring) => flat(ring, projection)));
      const areaM2 = polygons.reduce(
        (total, [outer, ...holes]) =>
          total + holes.reduce((area, hole) => area - Math.abs(ringAreaM2(hole)), Math.abs(ringAreaM2(outer))),
        0,
      );
      const rings = polygons.flat();
      return { type: 'area', rings, areaM2, perimeterM: rings.reduce((sum, ring) => sum + ringLengthM(ring), 0) };
    }
  }
}

function flat(positions: readonly LonLat[], projection: LocalPlaneProjection): Polyline {
  const line = new Float64Array(positions.length * 2);
  positions.forEach(([lonDeg, latDeg], i) => {
    const { x, y } = projection.toPlane(lonDeg, latDeg);
    line[2 * i] = x;
    line[2 * i + 1] = y;
  });
  return line;
}

function reachOf(shape: Projected): number {
  if (shape.type === 'point') {
    return shape.points.reduce((reach, { x, y }) => Math.max(reach, Math.abs(x), Math.abs(y)), 0);
  }
  const lines = shape.type === 'line' ? shape.lines : shape.rings;
  return lines.reduce((reach, line) => line.reduce((far, metre) => Math.max(far, Math.abs(metre)), reach), 0);
}

/** Area that rounding to the grid alone may move: half a cell's diagonal along every edge. */
function snappedM2(perimeterM: number, gridM: number): number {
  return perimeterM * gridM * Math.SQRT1_2;
}

function crossingMended({ kind, pointer }: FeatureAttributes, movedM2: number, lostM: number, ring: Ring): Finding {
  return {
    code: 'project-site.crossing-mended',
    severity: 'note',
    message: `The outline of the ${kind} crosses, touches or overlaps itself: what it goes around twice does not count. Its area changes by ${Math.abs(movedM2).toFixed(2)} m², its outline by ${Math.abs(lostM).toFixed(2)} m.`,
    advice: 'Check the outline on site; the plan uses the mended one.',
    value: movedM2,
    limit: 0,
    unit: 'm²',
    at: { x: ring[0], y: ring[1] },
    subject: pointer,
  };
}
