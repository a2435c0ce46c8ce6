import { describe, expect, test } from 'vitest';
import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import { fieldMap } from '#geo-core/field/field-map.ts';
import { weakField } from '#geo-core/field/weak-field.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { goldenRules, rectangle, ring } from '../../support/golden-garden.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const closed = (flat: Float64Array): Float64Array => Float64Array.from([...flat, flat[0], flat[1]]);
const lawn = { outer: rectangle(0, 0, 20, 10), holes: [] };
const loop = closed(lawn.outer);

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

  test('is the exact sum at every cell, to the six figures that a cell holds', () => {
    if (map === undefined) throw new Error('a lawn without cells');
    map.fieldNt.forEach((nt, cell) => {
      if (Number.isNaN(nt)) return;
      const x = map.westM + ((cell % map.columns) + 0.5) * map.cellM;
      const y = map.southM + (Math.floor(cell / map.columns) + 0.5) * map.cellM;
      expect(Math.abs(nt / verticalFieldNt(loop, x, y, 0.1) - 1)).toBeLessThan(1e-6);
    });
  });

  test('adds up all wires', () => {
    const both = fieldMap([loop, loop], [lawn], { heightM: 0.1 });
    expect(both?.fieldNt[5000]).toBeCloseTo(2 * (map?.fieldNt[5000] ?? Number.NaN), 3);
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
