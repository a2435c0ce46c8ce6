import { describe, expect, it } from 'vitest';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { polygonPerimeterM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { readSite } from '#geo-core/stages/05-read-site.ts';
import { projectSite } from '#geo-core/stages/10-project-site.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, type Metres, rectangle, siteOf } from '../../support/plane-site.ts';

useKernel();
const draw = drawSite();
const project = (features: readonly SiteFeatureInput[]) => projectSite(readSite(siteOf(features), RULE_SETS[0]).output);

function polygonsOf(staged: ReturnType<typeof project>) {
  const { shape } = staged.output.features[0];
  if (shape.type !== 'area') throw new Error('not an area');
  return shape.polygons;
}

describe('project site', () => {
  it('keeps areas and lengths of a garden to a tenth of a millimetre', () => {
    const staged = project([draw.area('lawn', [rectangle(0, 0, 20, 10)])]);
    expect(totalAreaM2(polygonsOf(staged))).toBeCloseTo(200, 4);
    expect(polygonPerimeterM(polygonsOf(staged)[0])).toBeCloseTo(60, 5);
    expect(staged.findings).toEqual([]);
  });

  it('puts the origin in the middle of the site and takes a coarser grid for a larger one', () => {
    const garden = project([draw.area('lawn', [rectangle(0, 0, 20, 10)])]).output;
    const field = project([draw.area('lawn', [rectangle(0, 0, 500, 300)])]).output;
    expect([garden.gridM, field.gridM]).toEqual([1e-7, 1e-6]);
    const { x, y } = localPlaneProjection(garden.plane).toPlane(garden.plane.originLonDeg, garden.plane.originLatDeg);
    expect([x, y]).toEqual([expect.closeTo(0, 9), expect.closeTo(0, 9)]);
  });

  it('reads a bow-tie as two triangles, and says by how much the area changes', () => {
    const tie: Metres = [
      [0, 0],
      [10, 10],
      [10, 0],
      [0, 10],
    ];
    const staged = project([draw.area('lawn', [tie])]);
    expect(totalAreaM2(polygonsOf(staged))).toBeCloseTo(50, 4);
    expect(polygonsOf(staged)).toHaveLength(2);
    expect(staged.findings).toMatchObject([{ code: 'project-site.crossing-mended', value: expect.closeTo(50, 3) }]);
  });

  it('drops a corridor of no width and says how much outline is lost', () => {
    const pan: Metres = [
      [0, 0],
      [10, 0],
      [10, 5],
      [15, 5],
      [10, 5],
      [10, 10],
      [0, 10],
    ];
    const staged = project([draw.area('lawn', [pan])]);
    expect(polygonPerimeterM(polygonsOf(staged)[0])).toBeCloseTo(40, 5);
    expect(staged.findings.map(({ message }) => message)).toEqual([expect.stringContaining('its outline by 10.00 m')]);
  });

  it('projects a site across 180 degrees as one piece', () => {
    const far = drawSite({ originLonDeg: 180, originLatDeg: -16.8 });
    const staged = project([far.area('lawn', [rectangle(-10, 0, 20, 10)])]);
    expect(totalAreaM2(polygonsOf(staged))).toBeCloseTo(200, 4);
  });
});
