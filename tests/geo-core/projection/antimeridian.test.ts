import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type LonLat, lonLat } from '#geo-core/model/position.ts';
import { cutLineAtAntimeridian, cutPolygonAtAntimeridian } from '#geo-core/projection/antimeridian.ts';
import { geodesicRing } from '#geo-core/projection/geodesic.ts';
import reference from '../../../fixtures/reference/geodesy.json' with { type: 'json' };

const positions = (pairs: readonly (readonly number[])[]): LonLat[] => pairs.map(([lon, lat]) => lonLat(lon, lat));

describe('a line across the antimeridian', () => {
  it('is cut as RFC 7946, 3.1.9 shows', () => {
    expect(
      cutLineAtAntimeridian(
        positions([
          [170, 45],
          [-170, 45],
        ]),
      ),
    ).toEqual([
      [
        [170, 45],
        [180, 45],
      ],
      [
        [-180, 45],
        [-170, 45],
      ],
    ]);
  });

  it('is cut each time it crosses, at the latitude of the straight line', () => {
    expect(
      cutLineAtAntimeridian(
        positions([
          [-179, 0],
          [179, 2],
          [-179, 4],
        ]),
      ),
    ).toEqual([
      [
        [-179, 0],
        [-180, 1],
      ],
      [
        [180, 1],
        [179, 2],
        [180, 3],
      ],
      [
        [-180, 3],
        [-179, 4],
      ],
    ]);
  });

  it('stays whole where it does not cross, and where it only touches', () => {
    const plain = positions([
      [4, 52],
      [5, 53],
    ]);
    const touching = positions([
      [179, 0],
      [180, 1],
      [179, 2],
    ]);
    expect(cutLineAtAntimeridian(plain)).toEqual([plain]);
    expect(cutLineAtAntimeridian(touching)).toEqual([touching]);
  });
});

describe('a polygon across the antimeridian', () => {
  it('is cut as RFC 7946, 3.1.9 shows', () => {
    const parts = cutPolygonAtAntimeridian([
      positions([
        [170, 40],
        [-170, 40],
        [-170, 50],
        [170, 50],
      ]),
    ]);
    expect(parts.map(([outer]) => new Set(outer.map(String)))).toEqual([
      new Set(['170,40', '180,40', '180,50', '170,50']),
      new Set(['-180,40', '-170,40', '-170,50', '-180,50']),
    ]);
  });

  it('keeps the ground of the lawn at Taveuni, every part counter-clockwise and on one side', () => {
    const row = reference.lawn_at_nine_sites.rows.find(({ name }) => name.startsWith('Taveuni'));
    const ring = positions(row?.lawn_lonlat_ccw ?? []);
    const parts = cutPolygonAtAntimeridian([ring]);
    expect(parts).toHaveLength(2);
    const areas = parts.map(([outer]) => geodesicRing(outer).areaM2);
    for (const areaM2 of areas) expect(areaM2).toBeGreaterThan(0);
    expect(areas[0] + areas[1]).toBeCloseTo(1286, 1);
    expect(parts[0][0].every(([lon]) => lon > 0)).toBe(true);
    expect(parts[1][0].every(([lon]) => lon < 0)).toBe(true);
  });

  it('falls into three parts where a U lies on its side over the cut', () => {
    const parts = cutPolygonAtAntimeridian([
      positions([
        [179, 0],
        [-178, 0],
        [-178, 1],
        [179.5, 1],
        [179.5, 2],
        [-178, 2],
        [-178, 3],
        [179, 3],
      ]),
    ]);
    expect(parts).toHaveLength(3);
    expect(parts[0][0].every(([lon]) => lon > 0)).toBe(true);
    for (const [outer] of parts.slice(1)) expect(outer).toHaveLength(4);
  });

  it('opens a hole that lies over the cut and keeps the ones beside it', () => {
    const parts = cutPolygonAtAntimeridian([
      positions([
        [178, 0],
        [-178, 0],
        [-178, 4],
        [178, 4],
      ]),
      positions([
        [179.5, 1],
        [179.5, 2],
        [-179.5, 2],
        [-179.5, 1],
      ]),
      positions([
        [-179, 3],
        [-179, 3.5],
        [-178.5, 3.5],
        [-178.5, 3],
      ]),
    ]);
    expect(parts.map((polygon) => polygon.length)).toEqual([1, 2]);
    expect(parts[0][0]).toHaveLength(8);
  });

  it('keeps a notch whose tip just touches the cut as one west part', () => {
    const parts = cutPolygonAtAntimeridian([
      positions([
        [179, 0],
        [-179, 0],
        [-179, 4],
        [179, 4],
        [179, 3],
        [180, 2],
        [179, 1],
      ]),
    ]);
    const areas = parts.map(([outer]) => geodesicRing(outer).areaM2);
    expect(parts.length).toBeGreaterThanOrEqual(2);
    for (const areaM2 of areas) expect(areaM2).toBeGreaterThan(0);
  });

  it('stays whole elsewhere, also with an edge on the cut', () => {
    const beside = [
      positions([
        [-180, 0],
        [-179, 0],
        [-179, 1],
        [-180, 1],
      ]),
    ];
    expect(cutPolygonAtAntimeridian(beside)).toEqual([beside]);
  });

  it('keeps a hole whose first corner lies on the outline', () => {
    const ring = (...spots: readonly (readonly [number, number])[]) => spots.map(([x, y]) => lonLat(x, y));
    const outer = ring([176, 0], [184, 0], [184, 8], [176, 8]);
    const hole = ring([178, 8], [179, 6], [178, 4], [177, 6]);
    const parts = cutPolygonAtAntimeridian([outer, hole]);
    expect(parts.map((rings) => rings.length).toSorted()).toEqual([1, 2]);
  });

  it('loses no ground wherever a star-shaped lawn lies over the cut', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.2, max: 1, noNaN: true }), { minLength: 3, maxLength: 24 }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        (radii, shiftDeg) => {
          const ring = radii.map((radius, index) => {
            const angle = (2 * Math.PI * index) / radii.length;
            return lonLat(180 + shiftDeg + radius * Math.cos(angle), 20 + radius * Math.sin(angle));
          });
          const planeArea = (line: readonly LonLat[]): number =>
            line.reduce((sum, [x, y], i) => {
              const [nextX, nextY] = line[(i + 1) % line.length];
              return sum + (x * nextY - nextX * y) / 2;
            }, 0);
          const parts = cutPolygonAtAntimeridian([ring]);
          const total = parts.reduce((sum, [outer]) => sum + planeArea(outer), 0);
          expect(Math.abs(total - planeArea(ring))).toBeLessThan(1e-9);
          for (const [outer] of parts) {
            expect(planeArea(outer)).toBeGreaterThan(0);
            const longitudes = outer.map(([lon]) => lon);
            expect(Math.max(...longitudes)).toBeLessThanOrEqual(180);
            expect(Math.min(...longitudes)).toBeGreaterThanOrEqual(-180);
            expect(Math.max(...longitudes) - Math.min(...longitudes)).toBeLessThan(3);
          }
        },
      ),
      { seed: 7946, numRuns: 300 },
    );
  });
});
