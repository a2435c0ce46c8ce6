import type { SiteFeatureInput, SiteInput } from '#geo-core/model/site.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';

/** Invented sites for the bench, drawn in metres by a seeded random source: the same seed, the same sites to the bit. */

type Random = () => number;
type Spot = readonly [x: number, y: number];

const HOME = { originLonDeg: 11.92, originLatDeg: 48.13 };

/** A garden as they come: one lawn of 60 vertices (about 450 m²), two beds, three trees, the street on one side. */
export function typicalGarden(random: Random): SiteInput {
  const radiusM = 11 + 3 * random();
  const outline = blob(60, radiusM, 0.07, random);
  const around = (turn: number, farM: number): Spot => [farM * Math.cos(turn), farM * Math.sin(turn)];
  const start = 2 * Math.PI * random();
  const place = (k: number): Spot => around(start + (2 * Math.PI * k) / 5, radiusM * (0.3 + 0.25 * random()));
  return site([
    area('lawn', outline),
    ...[0, 1].map((k) => area('planting', moved(blob(8, 0.8 + 0.5 * random(), 0.1, random), place(k)))),
    ...[2, 3, 4].map((k) => point('tree', place(k), { radius: 0.2 + 0.2 * random() })),
    { ...line('edge', outline.slice(0, 12)), properties: { kind: 'edge', beyond: 'road' } },
  ]);
}

/** A parcel as registers have them: an outline of 12 vertices (about 700 m²), house and shed, three trees; nothing else is said. */
export function typicalParcel(random: Random): SiteInput {
  const width = 20 + 6 * random();
  const depth = 28 + 8 * random();
  const shift = (): number => 0.8 * (random() - 0.5);
  const outline = [
    ...[0, 1 / 3, 2 / 3].map((t): Spot => [t * width, shift()]),
    ...[0, 1 / 3, 2 / 3].map((t): Spot => [width + shift(), t * depth]),
    ...[0, 1 / 3, 2 / 3].map((t): Spot => [(1 - t) * width, depth + shift()]),
    ...[0, 1 / 3, 2 / 3].map((t): Spot => [shift(), (1 - t) * depth]),
  ];
  const house = box(width / 2 - 4 - random(), 5 + random(), 9 + 2 * random(), 9 + random());
  const shed = box(1.5 + random(), depth - 6 - random(), 3, 2.5);
  const tree = (k: number): Spot => [(0.35 + 0.2 * k + 0.05 * random()) * width, (0.62 + 0.1 * random()) * depth];
  return site([
    area('parcel', outline),
    area('building', house),
    area('building', shed),
    ...[0, 1, 2].map((k) => point('tree', tree(k), { radius: 0.3 })),
  ]);
}

/**
 * A lawn of about so many vertices, a metre and a half apart, with so many keep-outs: strips 24 m wide side by side that hang together
 * at one end, so that area and outline grow with the vertices and the ground stays the same kind.
 *
 *     +--+ +--+ +--+
 *     |  | |  | |  |     up to as high as wide
 *     |  +-+  +-+  |
 *     +------------+
 */
export function gardenOfSize(vertices: number, keepOuts: number, random: Random): SiteInput {
  const outlineM = 1.5 * vertices;
  const strips = Math.max(1, Math.round(Math.sqrt(outlineM / 60)));
  const widthM = Math.min(24, outlineM / 4);
  const gapM = 6;
  const totalM = strips * widthM + (strips - 1) * gapM;
  const heightM = Math.max(widthM / 2, (outlineM - 2 * totalM) / (2 * strips) + widthM / 2);
  const corners: Spot[] = [
    [0, 0],
    [totalM, 0],
  ];
  for (let k = strips - 1; k >= 0; k--) {
    const westM = k * (widthM + gapM);
    corners.push([westM + widthM, heightM], [westM, heightM]);
    if (k > 0) corners.push([westM, widthM / 2], [westM - gapM, widthM / 2]);
  }
  const outline = wavering(corners, vertices, random);
  const things = Array.from({ length: keepOuts }, (_, k): SiteFeatureInput => {
    const strip = k % strips;
    const row = Math.floor(k / strips);
    const rows = Math.ceil(keepOuts / strips);
    const at: Spot = [
      strip * (widthM + gapM) + widthM * (0.3 + 0.4 * random()),
      (heightM * (row + 0.4 + 0.2 * random())) / rows,
    ];
    return k % 2 === 0
      ? area('planting', moved(blob(8, 0.8 + 0.5 * random(), 0.1, random), at))
      : point('tree', at, { radius: 0.2 + 0.2 * random() });
  });
  return site([area('lawn', outline), ...things]);
}

/** So many corners round the origin, with waves of the given share of the radius. */
function blob(corners: number, radiusM: number, share: number, random: Random): Spot[] {
  const waves = [2, 3, 5].map((count) => ({ count, size: share * random(), phase: 2 * Math.PI * random() }));
  return Array.from({ length: corners }, (_, k): Spot => {
    const turn = (2 * Math.PI * k) / corners;
    const farM =
      radiusM * waves.reduce((sum, { count, size, phase }) => sum + size * Math.cos(count * turn + phase), 1);
    return [farM * Math.cos(turn), farM * Math.sin(turn)];
  });
}

function box(x: number, y: number, width: number, depth: number): Spot[] {
  return [
    [x, y],
    [x + width, y],
    [x + width, y + depth],
    [x, y + depth],
  ];
}

/** Vertices spread evenly over the outline through the corners, each moved by up to 0.2 m. */
function wavering(corners: readonly Spot[], vertices: number, random: Random): Spot[] {
  const edges = corners.map((from, k) => ({ from, to: corners[(k + 1) % corners.length] }));
  const lengthOf = ({ from, to }: (typeof edges)[number]): number => Math.hypot(to[0] - from[0], to[1] - from[1]);
  const wholeM = edges.reduce((sum, edge) => sum + lengthOf(edge), 0);
  return edges.flatMap((edge) => {
    const count = Math.max(1, Math.round((vertices * lengthOf(edge)) / wholeM));
    return Array.from({ length: count }, (_, k): Spot => {
      const t = k / count;
      const sway = (): number => 0.4 * (random() - 0.5);
      return [
        edge.from[0] + t * (edge.to[0] - edge.from[0]) + sway(),
        edge.from[1] + t * (edge.to[1] - edge.from[1]) + sway(),
      ];
    });
  });
}

function moved(spots: readonly Spot[], [dx, dy]: Spot): Spot[] {
  return spots.map(([x, y]): Spot => [x + dx, y + dy]);
}

const projection = localPlaneProjection(HOME);

function position([x, y]: Spot): number[] {
  return [...projection.toLonLat(x, y)];
}

function area(kind: string, ring: readonly Spot[]): SiteFeatureInput {
  const coordinates = [[...ring, ring[0]].map(position)];
  return { type: 'Feature', properties: { kind }, geometry: { type: 'Polygon', coordinates } };
}

function line(kind: string, spots: readonly Spot[]): SiteFeatureInput {
  return { type: 'Feature', properties: { kind }, geometry: { type: 'LineString', coordinates: spots.map(position) } };
}

function point(kind: string, at: Spot, more: Readonly<Record<string, number>>): SiteFeatureInput {
  return { type: 'Feature', properties: { kind, ...more }, geometry: { type: 'Point', coordinates: position(at) } };
}

function site(features: readonly SiteFeatureInput[]): SiteInput {
  return { type: 'FeatureCollection', features };
}
