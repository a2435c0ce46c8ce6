import fc from 'fast-check';
import { BEYONDS, type Beyond, type SiteFeatureInput, type SiteInput } from '#geo-core/model/site.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';

/** Generators of gardens: drawn in metres, then set down anywhere on earth, turned, shuffled. */

type Spot = readonly [x: number, y: number];
export type Drawing = {
  /** Each with holes after the outer ring; not closed. */
  readonly lawns: readonly (readonly (readonly Spot[])[])[];
  readonly keepOuts: readonly (readonly Spot[])[];
  readonly trees: readonly { readonly at: Spot; readonly radiusM: number }[];
  /** What lies beyond the first edges of the first lawn's outer ring; undefined = nothing is said. */
  readonly beyond: readonly (Beyond | undefined)[];
  readonly outlet: Spot | undefined;
};
export type Placement = { readonly lonDeg: number; readonly latDeg: number; readonly turnDeg: number };
/** How the same garden may be written down differently. */
type Wording = { readonly featuresTurnedBy: number; readonly ringsTurnedBy: number };

export const HOME: Placement = { lonDeg: 11.92, latDeg: 48.13, turnDeg: 0 };
const AS_DRAWN: Wording = { featuresTurnedBy: 0, ringsTurnedBy: 0 };

export function siteOf(drawing: Drawing, { lonDeg, latDeg, turnDeg }: Placement, wording = AS_DRAWN): SiteInput {
  const projection = localPlaneProjection({ originLonDeg: lonDeg, originLatDeg: latDeg });
  const [cos, sin] = [Math.cos((turnDeg * Math.PI) / 180), Math.sin((turnDeg * Math.PI) / 180)];
  const position = ([x, y]: Spot): number[] => [...projection.toLonLat(x * cos - y * sin, x * sin + y * cos)];
  const ring = (spots: readonly Spot[]): number[][] => {
    const turned = turnedBy(spots, wording.ringsTurnedBy);
    return [...turned, turned[0]].map(position);
  };
  const area = (kind: string, rings: readonly (readonly Spot[])[], more = {}): SiteFeatureInput => ({
    type: 'Feature',
    properties: { kind, ...more },
    geometry: { type: 'Polygon', coordinates: rings.map(ring) },
  });
  const outer = drawing.lawns[0][0];
  const features: SiteFeatureInput[] = [
    ...drawing.lawns.map((rings) => area('lawn', rings)),
    ...drawing.keepOuts.map((spots) => area('keep-out', [spots])),
    ...drawing.trees.map(
      ({ at, radiusM }): SiteFeatureInput => ({
        type: 'Feature',
        properties: { kind: 'tree', radius: radiusM },
        geometry: { type: 'Point', coordinates: position(at) },
      }),
    ),
    ...drawing.beyond.slice(0, outer.length).flatMap((beyond, i): SiteFeatureInput[] =>
      beyond === undefined
        ? []
        : [
            {
              type: 'Feature',
              properties: { kind: 'edge', beyond },
              geometry: { type: 'LineString', coordinates: [outer[i], outer[(i + 1) % outer.length]].map(position) },
            },
          ],
    ),
  ];
  if (drawing.outlet !== undefined)
    features.push({
      type: 'Feature',
      properties: { kind: 'outlet' },
      geometry: { type: 'Point', coordinates: position(drawing.outlet) },
    });
  return { type: 'FeatureCollection', features: turnedBy(features, wording.featuresTurnedBy) };
}

const metres = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: Math.round(min * 100), max: Math.round(max * 100) }).map((centimetres) => centimetres / 100);

/** L, U, T and plain rectangles.
 *
 *     +--+      +--+  +--+    +--------+
 *     |  +---+  |  +--+  |    +-+    +-+
 *     +------+  +--------+      +----+
 */
const rectilinear: fc.Arbitrary<Spot[]> = fc
  .record({
    shape: fc.constantFrom('rectangle', 'L', 'U', 'T'),
    widthM: metres(6, 40),
    depthM: metres(6, 40),
    left: metres(0.2, 0.4),
    right: metres(0.6, 0.8),
    cut: metres(0.3, 0.6),
  })
  .map(({ shape, widthM: w, depthM: h, left, right, cut }): Spot[] => {
    const [a, b, c] = [left * w, right * w, cut * h];
    switch (shape) {
      case 'L':
        return [
          [0, 0],
          [w, 0],
          [w, c],
          [a, c],
          [a, h],
          [0, h],
        ];
      case 'U':
        return [
          [0, 0],
          [w, 0],
          [w, h],
          [b, h],
          [b, c],
          [a, c],
          [a, h],
          [0, h],
        ];
      case 'T':
        return [
          [a, 0],
          [b, 0],
          [b, c],
          [w, c],
          [w, h],
          [0, h],
          [0, c],
          [a, c],
        ];
      default:
        return [
          [0, 0],
          [w, 0],
          [w, h],
          [0, h],
        ];
    }
  });

const blob: fc.Arbitrary<Spot[]> = fc
  .record({
    corners: fc.integer({ min: 12, max: 90 }),
    radiusM: metres(4, 25),
    waves: fc.array(fc.record({ size: metres(0, 0.18), phase: metres(0, 6.28) }), { minLength: 1, maxLength: 4 }),
  })
  .map(({ corners, radiusM, waves }) =>
    Array.from({ length: corners }, (_, i): Spot => {
      const angle = (2 * Math.PI * i) / corners;
      const swell = waves.reduce((sum, { size, phase }, k) => sum + size * Math.cos((k + 2) * angle + phase), 1);
      return [radiusM * swell * Math.cos(angle) + 25, radiusM * swell * Math.sin(angle) + 25];
    }),
  );

/** Keeps drawn widths off the round numbers of the rules, where rounding alone would tip a decision. */
const OFF_LIMITS_M = 0.0037;

/** Rooms in a row, joined by necks of 0.3 to 4 m: mown through, driven through, or too narrow. */
const lobes: fc.Arbitrary<Spot[]> = fc
  .array(
    fc.record({
      lengthM: metres(4, 14),
      halfM: metres(2.2, 7),
      neckHalfM: metres(0.15, 2),
      neckLengthM: metres(0.5, 6),
    }),
    { minLength: 2, maxLength: 4 },
  )
  .map((rooms) => {
    const side: Spot[] = [];
    let x = 0;
    rooms.forEach(({ lengthM, halfM, neckHalfM, neckLengthM }, i) => {
      side.push([x, halfM], [x + lengthM, halfM]);
      x += lengthM;
      if (i === rooms.length - 1) return;
      side.push([x, neckHalfM + OFF_LIMITS_M], [x + neckLengthM + OFF_LIMITS_M, neckHalfM + OFF_LIMITS_M]);
      x += neckLengthM + OFF_LIMITS_M;
    });
    return [...side.map(([u, v]): Spot => [u, -v]), ...side.toReversed()];
  });

const outline = fc.oneof(rectilinear, blob, lobes);

const roundThing = (reachM: number): fc.Arbitrary<Spot[]> =>
  fc
    .record({
      x: metres(0, 40),
      y: metres(-8, 40),
      radiusM: metres(0.2, reachM),
      corners: fc.integer({ min: 3, max: 16 }),
    })
    .map(({ x, y, radiusM, corners }) =>
      Array.from({ length: corners }, (_, i): Spot => {
        const angle = (2 * Math.PI * i) / corners;
        return [x + radiusM * Math.cos(angle), y + radiusM * Math.sin(angle)];
      }),
    );

/** Ordinary gardens: one clean lawn, some keep-outs and trees (some of them off the lawn), some edges named. */
export const garden: fc.Arbitrary<Drawing> = fc.record({
  lawns: outline.map((outer) => [[outer]]),
  keepOuts: fc.array(roundThing(2), { maxLength: 4 }),
  trees: fc.array(fc.record({ at: fc.tuple(metres(0, 40), metres(-8, 40)), radiusM: metres(0.1, 0.6) }), {
    maxLength: 4,
  }),
  beyond: fc.array(fc.option(fc.constantFrom(...BEYONDS), { nil: undefined }), { maxLength: 8 }),
  outlet: fc.option(fc.tuple(metres(0, 30), metres(0, 30)), { nil: undefined }),
});

/** Gardens as a hurried hand leaves them: repeated corners, spikes, bow-ties, holes anywhere, lawns over each other. */
export const messyGarden: fc.Arbitrary<Drawing> = fc
  .record({
    base: garden,
    second: fc.option(outline, { nil: undefined }),
    holes: fc.array(roundThing(4), { maxLength: 3 }),
    harm: fc.array(fc.constantFrom('repeat', 'spike', 'swap', 'reverse', 'collinear'), { maxLength: 4 }),
    where: fc.nat(60),
  })
  .map(({ base, second, holes, harm, where }) => {
    const outer = harm.reduce((ring, kind, i) => harmed(ring, kind, where + 7 * i), base.lawns[0][0]);
    const first = [outer, ...holes];
    return { ...base, lawns: second === undefined ? [first] : [first, [second]] };
  });

function harmed(ring: readonly Spot[], kind: string, where: number): readonly Spot[] {
  const at = where % ring.length;
  const [a, b] = [ring[at], ring[(at + 1) % ring.length]];
  const middle: Spot = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  switch (kind) {
    case 'repeat':
      return ring.toSpliced(at, 0, a, a);
    case 'spike':
      return ring.toSpliced(at + 1, 0, middle, [middle[0] + 1.5, middle[1] + 2], middle);
    case 'swap':
      return at + 1 < ring.length ? ring.toSpliced(at, 2, b, a) : ring;
    case 'collinear':
      return ring.toSpliced(at + 1, 0, middle);
    default:
      return ring.toReversed();
  }
}

function turnedBy<T>(items: readonly T[], places: number): readonly T[] {
  const first = items.length === 0 ? 0 : places % items.length;
  return [...items.slice(first), ...items.slice(0, first)];
}
