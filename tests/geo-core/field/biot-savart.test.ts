import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import { pointInRing } from '#geo-core/plane/polygons.ts';
import golden from '../../../fixtures/reference/golden.json' with { type: 'json' };
import magnetics from '../../../fixtures/reference/magnetics.json' with { type: 'json' };

const rectangle = (width: number, height: number): number[][] => [
  [0, 0],
  [width, 0],
  [width, height],
  [0, height],
];
const regular = (sides: number, radiusM: number): number[][] =>
  Array.from({ length: sides }, (_, i) => {
    const angle = (2 * Math.PI * i) / sides;
    return [radiusM * Math.cos(angle), radiusM * Math.sin(angle)];
  });
const closed = (points: readonly number[][]): Float64Array => Float64Array.from([...points, points[0]].flat());

/** Relative error against a published value. */
function expectField(fieldNt: number, publishedNt: number, relative: number): void {
  expect(Math.abs(fieldNt / publishedNt - 1)).toBeLessThanOrEqual(relative);
}

describe('straight wire and loops in closed form (D. J. Griffiths, Introduction to Electrodynamics, ch. 5)', () => {
  const { rows, tolerance_relative: relative } = magnetics.closed_forms;
  const published = (id: string): number => rows.find((row) => row.id === id)?.B_nT ?? Number.NaN;

  test('a segment of 2 m, 1 m off its middle', () => {
    const line = Float64Array.of(-1, 0, 1, 0);
    expectField(verticalFieldNt(line, 0, 1), published('segment length 2, distance 1 from its middle'), relative);
  });

  test('a segment of 3 m, 4 m abreast of one end', () => {
    const line = Float64Array.of(0, 0, 3, 0);
    expectField(verticalFieldNt(line, 0, 4), published('segment length 3, distance 4 abreast of one end'), relative);
    expectField(verticalFieldNt(line, 3, -4), -published('segment length 3, distance 4 abreast of one end'), relative);
  });

  test('centres of a square and of rectangles', () => {
    const centre = (width: number, height: number): number =>
      verticalFieldNt(closed(rectangle(width, height)), width / 2, height / 2);
    expectField(centre(1, 1), published('square loop side 1, centre'), relative);
    expectField(centre(4, 3), published('rectangle 4x3, centre'), relative);
    expectField(centre(20, 10), published('rectangle 20x10, centre'), relative);
    expectField(centre(30, 20), published('rectangle 30x20, centre'), relative);
  });

  test('centres of regular polygons', () => {
    expectField(
      verticalFieldNt(closed(regular(3, 10)), 0, 0),
      published('regular polygon n 3 circumradius 10, centre'),
      relative,
    );
    expectField(verticalFieldNt(closed(regular(4, 10)), 0, 0), 80, relative);
    expectField(
      verticalFieldNt(closed(regular(6, 10)), 0, 0),
      published('regular polygon n 6 circumradius 10, centre'),
      relative,
    );
    expectField(
      verticalFieldNt(closed(regular(64, 10)), 0, 0),
      2 * Math.PI * 10 * ((64 / Math.PI) * Math.tan(Math.PI / 64)),
      relative,
    );
  });
});

describe('a rectangle of 20 x 10 m in its own plane (sum over corners in closed form)', () => {
  const loop = magnetics.rectangle_20x10_in_plane;
  const line = closed(loop.loop);

  test.each(loop.rows)('at ($x, $y) the field is $Bz_nT nT', ({ x, y, Bz_nT }) => {
    expectField(verticalFieldNt(line, x, y), Bz_nT, loop.tolerance_relative);
  });

  test('run clockwise every sign is turned', () => {
    const clockwise = closed(loop.loop.toReversed());
    for (const { x, y } of loop.rows)
      expectField(verticalFieldNt(clockwise, x, y), -verticalFieldNt(line, x, y), 1e-12);
  });
});

describe('a circle of 10 m radius (complete elliptic integrals)', () => {
  /** A polygon in a circle misses it by a share of 1 / sides^2; two polygons cancel that term (Richardson). */
  function circleFieldNt(x: number, y: number, heightM: number): number {
    const coarse = verticalFieldNt(coarseCircle, x, y, heightM);
    return (4 * verticalFieldNt(fineCircle, x, y, heightM) - coarse) / 3;
  }
  const coarseCircle = closed(regular(8192, 10));
  const fineCircle = closed(regular(16384, 10));
  const {
    rows,
    tolerance_relative: relative,
    zero_crossing_offset_m_at_height: crossings,
  } = magnetics.circle_R10_in_plane;

  test.each(rows)('in the plane at $rho m from the centre', ({ rho, Bz_nT }) => {
    expectField(circleFieldNt(rho, 0, 0), Bz_nT, relative);
  });

  test('on the axis, 10 m and 20 m above', () => {
    const published = new Map(magnetics.closed_forms.rows.map((row) => [row.id, row.B_nT]));
    expectField(circleFieldNt(0, 0, 10), published.get('circle R 10, axis z 10') ?? Number.NaN, relative);
    expectField(circleFieldNt(0, 0, 20), published.get('circle R 10, axis z 20') ?? Number.NaN, relative);
  });

  test.each(crossings)('at $h m above the wire the sign changes $outside_m m outside it', ({ h, outside_m }) => {
    const tenMicrometresM = 1e-5;
    expect(circleFieldNt(10 + outside_m - tenMicrometresM, 0, h)).toBeGreaterThan(0);
    expect(circleFieldNt(10 + outside_m + tenMicrometresM, 0, h)).toBeLessThan(0);
  });
});

describe('far away and side by side', () => {
  test.each(magnetics.far_field.rows)('$r m from its centre a loop is nearly a dipole', ({ r, B_nT, dipole_nT }) => {
    const field = verticalFieldNt(closed(rectangle(20, 10)), 10, 5 + r);
    expectField(field, B_nT, 1e-9);
    expect(Math.abs(field / dipole_nT - 1)).toBeLessThan(0.25 / (r * r) + 1e-6 + 0.5 * (10 / r) ** 4);
  });

  test.each(magnetics.opposite_pair.rows)('two opposite wires $s m apart, $r m off, cancel as published', (row) => {
    const halfM = 1e6;
    const pair = Float64Array.of(
      -halfM,
      -row.s / 2,
      halfM,
      -row.s / 2,
      halfM,
      row.s / 2,
      -halfM,
      row.s / 2,
      -halfM,
      -row.s / 2,
    );
    const single = Float64Array.of(-halfM, 0, halfM, 0);
    expectField(verticalFieldNt(pair, 0, row.r), -row.B_pair_nT, magnetics.opposite_pair.tolerance_relative);
    expectField(verticalFieldNt(single, 0, row.r), row.B_single_nT, magnetics.opposite_pair.tolerance_relative);
  });

  test('a lead walked out and back on the same line has no field at all', () => {
    const lead = Float64Array.of(0, 0, 3, 1, 7, 2, 3, 1, 0, 0);
    const roundingNt = 1e-12;
    expect(Math.abs(verticalFieldNt(lead, 4, 0.5))).toBeLessThan(roundingNt);
    expect(Math.abs(verticalFieldNt(lead, -3, 8, 0.2))).toBeLessThan(roundingNt);
    expect(Math.abs(verticalFieldNt(lead.slice(0, 6), 4, 0.5))).toBeGreaterThan(100);
  });

  test('a point on the wire has no field', () => {
    const line = closed(rectangle(20, 10));
    expect(verticalFieldNt(line, 7, 0)).toBeNaN();
    expect(verticalFieldNt(line, 20, 10)).toBeNaN();
    expect(verticalFieldNt(line, 7, 0, 0.1)).not.toBeNaN();
  });

  test('a repeated vertex changes nothing', () => {
    const twice = Float64Array.of(0, 0, 20, 0, 20, 0, 20, 10, 0, 10, 0, 0);
    expect(verticalFieldNt(twice, 3, 4)).toBe(verticalFieldNt(closed(rectangle(20, 10)), 3, 4));
  });
});

describe('sign and winding: up inside the wire, down in keep-outs and outside', () => {
  test.each(magnetics.l_shaped_loop.rows)('L-shaped loop at ($x, $y)', ({ x, y, Bz_nT, winding }) => {
    const field = verticalFieldNt(closed(magnetics.l_shaped_loop.loop), x, y);
    expectField(field, Bz_nT, magnetics.l_shaped_loop.tolerance_relative);
    expect(field > 0).toBe(winding === 1);
  });

  const island = magnetics.island_sense;
  test.each(island.rows.filter((row) => row.case === 'island_opposite_sense'))(
    'island run the opposite way, at ($x, $y)',
    ({ x, y, Bz_nT, winding }) => {
      const field = verticalFieldNt(closed(island.opposite), x, y);
      expectField(field, Bz_nT, 1e-8);
      expect(field > 0).toBe(winding === 1);
    },
  );

  test('island run the same way: the lawn beside it reads as outside, the island as lawn', () => {
    const wrong = closed(island.same);
    for (const { x, y, Bz_nT } of island.rows.filter((row) => row.case === 'island_same_sense_WRONG')) {
      expectField(verticalFieldNt(wrong, x, y), Bz_nT, 1e-8);
    }
    expect(verticalFieldNt(wrong, 8.5, 5)).toBeLessThan(0);
    expect(verticalFieldNt(wrong, 10, 5)).toBeGreaterThan(0);
  });

  test.each(golden.case_g1.field_nT_per_A)('golden garden at ($x, $y)', ({ x, y, winding, Bz_nT_per_A }) => {
    const field = verticalFieldNt(closed(golden.case_g1.wire_path_one_closed_loop), x, y);
    expectField(field, Bz_nT_per_A, golden.case_g1.tolerance.field_relative);
    expect(field > 0).toBe(winding === 1);
  });

  test('golden garden: leads 0.2 m apart make a wall of the strip between them', () => {
    const apart = [
      [0.3, 0.3],
      [9.9, 0.3],
      [9.9, 3.7],
      [8.7, 3.7],
      [8.7, 6.3],
      [11.3, 6.3],
      [11.3, 3.7],
      [10.1, 3.7],
      [10.1, 0.3],
      [19.7, 0.3],
      [19.7, 9.7],
      [0.3, 9.7],
    ];
    const twoLongWiresNt = (-2 * 200) / 0.1;
    const fieldNt = verticalFieldNt(closed(apart), 10, 2);
    expect(fieldNt).toBeGreaterThan(twoLongWiresNt);
    expect(fieldNt).toBeLessThan(0.9 * twoLongWiresNt);
  });

  test('holds anywhere in any simple loop (theorem; seeded)', () => {
    const starShaped = fc
      .array(fc.double({ min: 1, max: 20, noNaN: true }), { minLength: 3, maxLength: 24 })
      .map((radii) =>
        radii.map((radius, i) => [
          radius * Math.cos((2 * Math.PI * i) / radii.length),
          radius * Math.sin((2 * Math.PI * i) / radii.length),
        ]),
      );
    const place = fc.double({ min: -25, max: 25, noNaN: true });
    fc.assert(
      fc.property(starShaped, place, place, (points, x, y) => {
        const field = verticalFieldNt(closed(points), x, y);
        return field > 0 === pointInRing(Float64Array.from(points.flat()), x, y);
      }),
      { seed: 55, numRuns: 2000 },
    );
  });
});
