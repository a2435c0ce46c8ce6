import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import { fieldMap } from '#geo-core/field/field-map.ts';
import { fieldTree } from '#geo-core/field/field-tree.ts';
import { weakField } from '#geo-core/field/weak-field.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import magnetics from '../../../fixtures/reference/magnetics.json' with { type: 'json' };
import { goldenRules, rectangle, ring } from '../../support/golden-garden.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const closed = (flat: Float64Array): Float64Array => Float64Array.from([...flat, flat[0], flat[1]]);
const lawn = { outer: rectangle(0, 0, 20, 10), holes: [] };
const loop = closed(lawn.outer);

/** A wavy closed wire of many short segments. */
const wavy = (radiusM: number, waves: number, depth: number, count: number): Float64Array =>
  closed(
    Float64Array.from(
      Array.from({ length: count }, (_, i) => {
        const angle = (2 * Math.PI * i) / count;
        const r = radiusM * (1 + depth * Math.sin(waves * angle));
        return [r * Math.cos(angle), r * Math.sin(angle)];
      }).flat(),
    ),
  );

describe('far stretches summed at once (chord and dipole sheet; D. J. Griffiths, Introduction to Electrodynamics, ch. 5)', () => {
  test('give the published field of a rectangle, which has too few segments to be cut short', () => {
    const { rows, tolerance_relative: relative } = magnetics.rectangle_20x10_in_plane;
    const tree = fieldTree([loop]);
    for (const { x, y, Bz_nT } of rows) expect(Math.abs(tree.fieldNt(x, y) / Bz_nT - 1)).toBeLessThanOrEqual(relative);
  });

  test('differ from the exact sum by less than a hundredth of it at the worst, wherever one stands', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 40, noNaN: true }),
        fc.integer({ min: 2, max: 9 }),
        fc.double({ min: 0, max: 0.4, noNaN: true }),
        fc.integer({ min: 60, max: 600 }),
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: 0, max: 0.5, noNaN: true }),
        (radiusM, waves, depth, count, x, y, heightM) => {
          const line = wavy(radiusM, waves, depth, count);
          const exactNt = verticalFieldNt(line, x, y, heightM);
          const scaleNt = Math.abs(exactNt) + 0.5;
          expect(Math.abs(fieldTree([line]).fieldNt(x, y, heightM) - exactNt) / scaleNt).toBeLessThan(0.01);
        },
      ),
      { numRuns: 500, seed: 5 },
    );
  });

  test('a lead walked out and back has no field from afar either', () => {
    const there = Array.from({ length: 60 }, (_, i) => [i / 4, Math.sin(i / 5)]);
    const lead = Float64Array.from([...there, ...there.toReversed()].flat());
    expect(Math.abs(fieldTree([lead]).fieldNt(40, 30, 0.1))).toBeLessThan(1e-9);
  });
});

describe('the map of the field', () => {
  const map = fieldMap([loop], [lawn], { heightM: 0.1 });

  test('covers the lawn and nothing else, one cell as large as all', () => {
    expect(map).toBeDefined();
    const known = map?.fieldNt.filter((nt) => !Number.isNaN(nt)).length ?? 0;
    expect(known * (map?.cellM ?? 0) ** 2).toBeCloseTo(200, 0);
    const around = fieldMap(
      [loop],
      [{ outer: rectangle(0, 0, 10, 10), holes: [ring([4, 4], [4, 6], [6, 6], [6, 4])] }],
      {
        heightM: 0.1,
      },
    );
    const cell = (x: number, y: number) =>
      around?.fieldNt[Math.floor(y / around.cellM) * around.columns + Math.floor(x / around.cellM)];
    expect(cell(5, 5)).toBeNaN();
    expect(cell(2, 2)).toBeGreaterThan(0);
  });

  test('is within three hundredths of the exact sum at every cell', () => {
    if (map === undefined) return;
    map.fieldNt.forEach((nt, cell) => {
      if (Number.isNaN(nt)) return;
      const x = map.westM + ((cell % map.columns) + 0.5) * map.cellM;
      const y = map.southM + (Math.floor(cell / map.columns) + 0.5) * map.cellM;
      expect(Math.abs(nt / verticalFieldNt(loop, x, y, 0.1) - 1)).toBeLessThan(0.03);
    });
  });

  test('sums over the wires for fewer places than it has cells', () => {
    expect(map?.summed).toBeLessThan((map?.fieldNt.length ?? 0) / 2);
  });

  test('keeps to the cells it may have, on a strip too', () => {
    const strip = fieldMap([loop], [{ outer: rectangle(0, 0, 4000, 0.5), holes: [] }], {
      heightM: 0.1,
      cellsMax: 1000,
    });
    expect(strip?.fieldNt.length).toBeLessThan(2200);
  });

  test('without ground or wire there is none', () => {
    expect(fieldMap([loop], [], { heightM: 0 })).toBeUndefined();
    expect(fieldMap([], [lawn], { heightM: 0 })).toBeUndefined();
  });
});

test('ground under the least field is the middle of a wide lawn, its outline on the limit', () => {
  const side = { outer: rectangle(0, 0, 100, 100), holes: [] };
  const line = closed(side.outer);
  // In the middle 2 sqrt 2 mu0 I / pi a = 11.31 nT (square loop, closed form).
  expect(weakField(line, [side], { ...goldenRules, fieldMinNt: 11, sensorHeightM: 0 }, 1e-5)).toEqual([]);
  const [faint] = weakField(line, [side], { ...goldenRules, fieldMinNt: 15, sensorHeightM: 0 }, 1e-5);
  expect(pointInPolygon(faint, 50, 50)).toBe(true);
  expect(totalAreaM2([faint])).toBeLessThan(100 * 100);
  for (let i = 0; i < faint.outer.length; i += 2)
    expect(verticalFieldNt(line, faint.outer[i], faint.outer[i + 1])).toBeCloseTo(15, 0);
});
