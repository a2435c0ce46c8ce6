import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { LocalPlane, LonLat, Polyline } from '#geo-core/model/position.ts';
import {
  type FeatureAttributes,
  type PlaneFeature,
  type PlaneShape,
  type PlaneSite,
  SITE_KINDS,
  type Site,
} from '#geo-core/model/site.ts';
import { leadingAxis, type WeightedLine } from '#geo-core/plane/leading-axis.ts';
import { type LocalPlaneProjection, localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { normalLongitudeDeg } from '#geo-core/projection/longitude.ts';
import { type AreaMend, type DrawnPolygons, mendArea } from '#geo-core/reading/mend-area.ts';

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

/**
 * Site in longitude and latitude -> site in metres of its own local plane, areas clean (`mendArea`); each mend is
 * a finding with its place and the ground it moved.
 */
export function projectSite(site: Site): Staged<PlaneSite> {
  const findings: Finding[] = [];
  const plane = leadingPlane(site, originOf(site));
  const projection = localPlaneProjection(plane);
  const projected = site.features.map((feature) => ({ feature, shape: project(feature.shape, projection) }));
  const reachM = projected.reduce((reach, { shape }) => Math.max(reach, reachOf(shape)), 0);
  const gridM = (GRIDS.find((grid) => reachM <= grid.reachM) ?? GRIDS[GRIDS.length - 1]).gridM;
  const features = projected.map(({ feature, shape }): PlaneFeature => {
    const { shape: _, ...attributes } = feature;
    if (shape.type !== 'area') return { ...attributes, shape };
    const { polygons, mends } = mendArea(shape.polygons, gridM);
    findings.push(...mends.map((mend) => areaMended(feature, mend)));
    return { ...attributes, shape: { type: 'area', polygons } };
  });
  return { output: { ...site, plane, gridM, features }, findings };
}

type Projected = { readonly type: 'area'; readonly polygons: DrawnPolygons } | Exclude<PlaneShape, { type: 'area' }>;

/** The origin: the middle of the site's box, whatever the order of its features; 180 degrees may lie inside. */
function originOf(site: Site): LocalPlane {
  const boxes = [new Box(), new Box()] as const;
  for (const { shape } of site.features)
    for (const [lonDeg, latDeg] of positionsOf(shape)) {
      boxes[0].add(lonDeg, latDeg);
      boxes[1].add(lonDeg < 0 ? lonDeg + 360 : lonDeg, latDeg);
    }
  const [plain, across] = boxes;
  const { west, east, south, north } = plain.east - plain.west <= 180 ? plain : across;
  if (west > east) return { originLonDeg: 0, originLatDeg: 0 };
  return { originLonDeg: normalLongitudeDeg((west + east) / 2), originLatDeg: (south + north) / 2 };
}

/** The plane with its axes along the site's own leading edge: a site that is turned or moved has the same coordinates up to rounding. */
function leadingPlane(site: Site, origin: LocalPlane): LocalPlane {
  const northUp = localPlaneProjection(origin);
  const lines = site.features.flatMap(({ kind, shape }): WeightedLine[] => {
    const weight = 1 + SITE_KINDS.indexOf(kind);
    const drawn = project(shape, northUp);
    if (drawn.type === 'point')
      return drawn.points.map(({ x, y }) => ({ line: Float64Array.of(x, y), isClosed: false, weight }));
    const isClosed = drawn.type === 'area';
    return (isClosed ? drawn.polygons.flat() : drawn.lines).map((line) => ({ line, isClosed, weight }));
  });
  const axis = leadingAxis(lines);
  return axis === undefined ? origin : { ...origin, xAxis: { east: axis.ux, north: axis.uy } };
}

class Box {
  west = Infinity;
  east = -Infinity;
  south = Infinity;
  north = -Infinity;

  add(x: number, y: number): void {
    this.west = Math.min(this.west, x);
    this.east = Math.max(this.east, x);
    this.south = Math.min(this.south, y);
    this.north = Math.max(this.north, y);
  }
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
    case 'area':
      return {
        type: 'area',
        polygons: shape.polygons.map((polygon) => polygon.map((ring) => flat(ring, projection))),
      };
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
  const lines = shape.type === 'line' ? shape.lines : shape.polygons.flat();
  return lines.reduce((reach, line) => line.reduce((far, metre) => Math.max(far, Math.abs(metre)), reach), 0);
}

const FAULTS: Readonly<Record<AreaMend['fault'], { readonly reason: string; readonly inWords: string }>> = {
  crossing: {
    reason: 'crossing-mended',
    inWords: 'The outline of the KIND crosses, touches or overlaps itself: what it goes around twice does not count.',
  },
  hole: {
    reason: 'hole-mended',
    inWords: 'A hole of the KIND reaches over its outline or over another hole: it takes nothing there.',
  },
  'near-vertices': {
    reason: 'near-vertices',
    inWords: 'Vertices of the KIND less than 0.1 mm apart count as one.',
  },
  overlap: { reason: 'overlap-mended', inWords: 'Parts of the KIND lie over each other: the overlap counts once.' },
};

function areaMended({ kind, pointer }: FeatureAttributes, { fault, movedM2, lostM, at }: AreaMend): Finding {
  const { reason, inWords } = FAULTS[fault];
  return {
    code: `project-site.${reason}`,
    severity: 'note',
    message: `${inWords.replace('KIND', kind)} Its area changes by ${Math.abs(movedM2).toFixed(2)} m², its outline by ${Math.abs(lostM).toFixed(2)} m.`,
    advice: 'Check the outline on site; the plan uses the mended one.',
    value: movedM2,
    limit: 0,
    unit: 'm²',
    at,
    subject: pointer,
  };
}
