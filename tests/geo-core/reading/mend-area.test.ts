import { describe, expect, it } from 'vitest';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { distanceM, polygonPerimeterM } from '#geo-core/plane/measure.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { readSite } from '#geo-core/stages/05-read-site.ts';
import { projectSite } from '#geo-core/stages/10-project-site.ts';
import { deriveLawn } from '#geo-core/stages/15-derive-lawn.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, FIELD, type Metres, rectangle, siteOf } from '../../support/plane-site.ts';

useKernel();
const draw = drawSite();
const SQUARE = rectangle(0, 0, 10, 10);
const lawn = (...rings: readonly Metres[]) => [draw.area('lawn', rings)];
const parts = (...polygons: readonly (readonly Metres[])[]): SiteFeatureInput[] => {
  const coordinates = polygons.map((rings) => {
    const { geometry } = draw.area('lawn', rings);
    if (geometry?.type !== 'Polygon') throw new Error('not a polygon');
    return geometry.coordinates;
  });
  return [{ type: 'Feature', properties: { kind: 'lawn' }, geometry: { type: 'MultiPolygon', coordinates } }];
};
const unclosed = (): SiteFeatureInput[] => {
  const [{ geometry }] = lawn(SQUARE);
  if (geometry?.type !== 'Polygon') throw new Error('not a polygon');
  const coordinates = geometry.coordinates.map((ring) => ring.slice(0, -1));
  return [{ type: 'Feature', properties: { kind: 'lawn' }, geometry: { type: 'Polygon', coordinates } }];
};

type Case = {
  readonly fault: string;
  readonly site: readonly SiteFeatureInput[];
  /** Worked out by hand from the drawing. */
  readonly lawnM2: number;
  readonly pieces: number;
  readonly perimeterM?: number;
  /** The code of the one finding about it, and the ground it says was moved, m2 (or how many). */
  readonly told?: readonly [code: string, value: number];
  /** The corners of the ground or outline it is about, metres: the finding is at one of them. */
  readonly at?: Metres;
};

/** One drawing for every kind of fault. */
const CASES: readonly Case[] = [
  {
    fault: 'a vertex twice',
    site: lawn([
      [0, 0],
      [10, 0],
      [10, 0],
      [10, 10],
      [0, 10],
    ]),
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
    told: ['read-site.repeated-positions', 1],
  },
  {
    fault: 'two vertices 0.03 mm apart',
    site: lawn([
      [0, 0],
      [10, 0],
      [10, 0.00003],
      [10, 10],
      [0, 10],
    ]),
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
    told: ['project-site.near-vertices', 0],
    at: [[10, 0]],
  },
  {
    fault: 'vertices on a straight edge, which are no fault',
    site: lawn([
      [0, 0],
      [3, 0],
      [7, 0],
      [10, 0],
      [10, 10],
      [0, 10],
    ]),
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
  },
  { fault: 'a ring left open', site: unclosed(), lawnM2: 100, pieces: 1, told: ['read-site.ring-closed', 1] },
  {
    fault: 'a spike of no width',
    site: lawn([
      [0, 0],
      [10, 0],
      [10, 5],
      [15, 5],
      [10, 5],
      [10, 10],
      [0, 10],
    ]),
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
    told: ['project-site.crossing-mended', 0],
    at: [[15, 5]],
  },
  {
    fault: 'a slit of no width into the lawn',
    site: lawn([
      [0, 0],
      [10, 0],
      [10, 5],
      [4, 5],
      [10, 5],
      [10, 10],
      [0, 10],
    ]),
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
    told: ['project-site.crossing-mended', 0],
    at: [[4, 5]],
  },
  {
    // 5 m x 0.5 mm: less than the hundredth of a square metre that is worth mowing.
    fault: 'a sliver on its own',
    site: parts([SQUARE], [rectangle(20, 0, 5, 0.0005)]),
    lawnM2: 100,
    pieces: 1,
    told: ['derive-lawn.scraps', 0.0025],
    at: rectangle(20, 0, 5, 0.0005),
  },
  {
    // Two triangles of 5 x 10 / 2 that meet in (5, 0).
    fault: 'a ring that touches itself, which loses nothing',
    site: lawn([
      [0, 0],
      [10, 0],
      [10, 10],
      [5, 0],
      [0, 10],
    ]),
    lawnM2: 50,
    pieces: 2,
    perimeterM: 2 * (5 + 10 + Math.sqrt(125)),
  },
  {
    // Two triangles of 10 x 5 / 2 instead of the nothing that its signed halves add up to.
    fault: 'a bow-tie',
    site: lawn([
      [0, 0],
      [10, 10],
      [10, 0],
      [0, 10],
    ]),
    lawnM2: 50,
    pieces: 2,
    told: ['project-site.crossing-mended', 50],
    at: [[5, 5]],
  },
  {
    // 6 x 6 on one side of the crossing in (4, 0), 4 x 2 on the other: as drawn 36 - 8.
    fault: 'an outline that crosses itself once',
    site: lawn([
      [0, 0],
      [10, 0],
      [10, 6],
      [4, 6],
      [4, -2],
      [0, -2],
    ]),
    lawnM2: 44,
    pieces: 2,
    told: ['project-site.crossing-mended', 16],
    at: [[4, 0]],
  },
  {
    // 100 - 2 x 4, of which 4 x 4 are gone around twice: 76 instead of 92 + 16.
    fault: 'an outline that goes around some ground twice',
    site: lawn([
      [0, 0],
      [10, 0],
      [10, 10],
      [2, 10],
      [2, 2],
      [6, 2],
      [6, 6],
      [0, 6],
    ]),
    lawnM2: 76,
    pieces: 1,
    told: ['project-site.crossing-mended', -32],
    at: [[2, 6]],
  },
  {
    // Of a hole of 4 x 4 half lies inside.
    fault: 'a hole over the edge',
    site: lawn(SQUARE, rectangle(8, 2, 4, 4)),
    lawnM2: 92,
    pieces: 1,
    told: ['project-site.hole-mended', 8],
  },
  {
    fault: 'a hole outside',
    site: lawn(SQUARE, rectangle(12, 2, 2, 2)),
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
    told: ['project-site.hole-mended', 4],
    at: rectangle(12, 2, 2, 2),
  },
  {
    // 9 + 9 with 1 in common.
    fault: 'two holes over each other',
    site: lawn(SQUARE, rectangle(2, 2, 3, 3), rectangle(4, 4, 3, 3)),
    lawnM2: 83,
    pieces: 1,
    told: ['project-site.hole-mended', 1],
    at: rectangle(4, 4, 1, 1),
  },
  {
    fault: 'one part drawn twice',
    site: parts([SQUARE], [SQUARE]),
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
    told: ['project-site.overlap-mended', -100],
  },
  {
    fault: 'two lawns over each other',
    site: [...lawn(SQUARE), ...lawn(rectangle(8, 0, 10, 10))],
    lawnM2: 180,
    pieces: 1,
    perimeterM: 56,
    told: ['derive-lawn.lawns-overlap', 20],
    at: rectangle(8, 0, 2, 10),
  },
  {
    fault: 'a keep-out over the edge, which takes no lawn',
    site: [...lawn(SQUARE), draw.area('keep-out', [rectangle(8, 8, 4, 4)])],
    lawnM2: 100,
    pieces: 1,
    perimeterM: 40,
  },
  {
    fault: 'a seam of 1e-9 m between lawns',
    site: [...lawn(SQUARE), ...lawn(rectangle(10 + 1e-9, 2, 10, 5))],
    lawnM2: 150,
    pieces: 1,
    perimeterM: 60,
  },
  {
    // 5 m x 0.6 mm are closed.
    fault: 'a seam of 0.6 mm between lawns',
    site: [...lawn(SQUARE), ...lawn(rectangle(10.0006, 2, 10, 5))],
    lawnM2: 150.003,
    pieces: 1,
    perimeterM: 60.0012,
    told: ['derive-lawn.seams-closed', 0.003],
  },
  {
    // From nothing at (10, 0) to 0.8 mm at (10, 10).
    fault: 'a seam between lawns that opens like a fan',
    site: [
      ...lawn(SQUARE),
      ...lawn([
        [10, 0],
        [20, 0],
        [20, 10],
        [10.0008, 10],
      ]),
    ],
    lawnM2: 200,
    pieces: 1,
    perimeterM: 60,
    told: ['derive-lawn.seams-closed', 0.004],
  },
  {
    fault: 'a gap of 5 mm between lawns, which is a gap',
    site: [...lawn(SQUARE), ...lawn(rectangle(10.005, 2, 10, 5))],
    lawnM2: 150,
    pieces: 2,
    perimeterM: 70,
  },
  {
    fault: 'a seam of 1e-9 m between parcels',
    site: [draw.area('parcel', [SQUARE]), draw.area('parcel', [rectangle(10 + 1e-9, 0, 10, 10)])],
    lawnM2: 200,
    pieces: 1,
    perimeterM: 60,
  },
  {
    fault: 'a seam of 1e-9 m between a building and the edge of its parcel',
    site: [draw.area('parcel', [rectangle(0, 0, 20, 10)]), draw.area('building', [rectangle(1e-9, 1e-9, 5, 10)])],
    lawnM2: 150,
    pieces: 1,
    perimeterM: 50,
  },
];

describe('input as it comes, mended as a surveyor would', () => {
  it.each(CASES)('$fault', ({ site, lawnM2, pieces, perimeterM, told, at }) => {
    const read = readSite(siteOf(site), RULE_SETS[0]);
    const projected = projectSite(read.output);
    const derived = deriveLawn({ site: projected.output }, RULE_SETS[0]);
    const { output } = derived;
    expect(output.areaM2).toBeCloseTo(lawnM2, 3);
    expect(output.lawn).toHaveLength(pieces);
    const outlineM = output.lawn.reduce((sum, polygon) => sum + polygonPerimeterM(polygon), 0);
    if (perimeterM !== undefined) expect(outlineM).toBeCloseTo(perimeterM, 3);
    const findings = [...read.findings, ...projected.findings, ...derived.findings].filter(
      ({ code }) => !['read-site.ring-order', 'derive-lawn.derived'].includes(code),
    );
    expect(findings.map(({ code }) => code)).toEqual(told === undefined ? [] : [told[0]]);
    const [finding] = findings;
    if (told !== undefined) expect(finding.value).toBeCloseTo(told[1], 4);
    if (at === undefined) return;
    const [drawn, onPlane] = [localPlaneProjection(FIELD), localPlaneProjection(projected.output.plane)];
    const corners = at.map((corner) => {
      const [lonDeg, latDeg] = drawn.toLonLat(corner[0], corner[1]);
      return onPlane.toPlane(lonDeg, latDeg);
    });
    const { x, y } = finding.at ?? { x: Number.NaN, y: Number.NaN };
    expect(Math.min(...corners.map((corner) => distanceM(x, y, corner.x, corner.y)))).toBeLessThan(0.001);
  });
});
