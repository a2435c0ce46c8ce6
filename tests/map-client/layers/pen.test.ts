import { describe, expect, it } from 'vitest';
import { localPlaneProjection } from '#geo-core/index.ts';
import { createPen } from '#map-client/layers/pen.ts';

describe('the heading of a stroke', () => {
  const SQRT1_2 = Math.sqrt(0.5);
  const origin = { originLonDeg: 10, originLatDeg: 70 };

  it.each([
    ['north up', undefined, 0],
    ['turned by 45 degrees', { east: SQRT1_2, north: SQRT1_2 }, -45],
    ['turned by 90 degrees', { east: 0, north: 1 }, -90],
  ] as const)('is clockwise from north also in a plane %s', (_, xAxis, turnedDeg) => {
    const pen = createPen(localPlaneProjection({ ...origin, ...(xAxis !== undefined && { xAxis }) }));
    const from = { x: 0, y: 0 };
    for (const [to, ownDeg] of [
      [{ x: 0, y: 5 }, 0],
      [{ x: 5, y: 5 }, 45],
      [{ x: 5, y: 0 }, 90],
    ] as const)
      expect(pen.headingDeg(from, to)).toBeCloseTo(ownDeg + turnedDeg, 3);
  });
});
