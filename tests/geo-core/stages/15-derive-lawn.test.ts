import { describe, expect, it } from 'vitest';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { deriveLawn } from '#geo-core/stages/15-derive-lawn.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, planeSiteOf, rectangle } from '../../support/plane-site.ts';

useKernel();
const draw = drawSite();
const derive = (features: readonly SiteFeatureInput[]) => deriveLawn({ site: planeSiteOf(features) }, RULE_SETS[0]);
const codes = (staged: ReturnType<typeof derive>) => staged.findings.map((finding) => finding.code);

describe('derive lawn', () => {
  it('takes a parcel without its house as lawn, and says so', () => {
    const staged = derive([
      draw.area('parcel', [rectangle(0, 0, 30, 20)]),
      draw.area('building', [rectangle(5, 5, 10, 8)]),
    ]);
    expect(staged.output.areaM2).toBeCloseTo(600 - 80, 4);
    expect(staged.output.lawn[0].holes).toHaveLength(1);
    expect(staged.output.derived).toBe(true);
    expect(codes(staged)).toEqual(['derive-lawn.derived']);
  });

  it('counts overlapping lawns once, and says by how much', () => {
    const staged = derive([draw.area('lawn', [rectangle(0, 0, 10, 10)]), draw.area('lawn', [rectangle(8, 0, 10, 10)])]);
    expect(staged.output.areaM2).toBeCloseTo(180, 4);
    expect(staged.findings[0]).toMatchObject({ code: 'derive-lawn.lawns-overlap', value: expect.closeTo(20, 4) });
  });

  it('leaves out lawn beyond the parcel and lawn under a house', () => {
    const staged = derive([
      draw.area('parcel', [rectangle(0, 0, 20, 20)]),
      draw.area('lawn', [rectangle(-2, 0, 12, 10)]),
      draw.area('building', [rectangle(8, 8, 5, 5)]),
    ]);
    expect(staged.output.areaM2).toBeCloseTo(100 - 4, 4);
    expect(codes(staged)).toEqual(['derive-lawn.beyond-parcel', 'derive-lawn.not-grass']);
  });

  it('joins two lawns by a declared crossing that misses them by a centimetre, without counting it as lawn', () => {
    const staged = derive([
      draw.area('lawn', [rectangle(0, 0, 10, 10)]),
      draw.area('lawn', [rectangle(11.5, 0, 10, 10)]),
      draw.area('paving', [rectangle(10, -1, 1.5, 12)]),
      draw.area('crossing', [rectangle(10.01, 4, 1.48, 2)]),
    ]);
    expect(staged.output.areaM2).toBeCloseTo(200, 4);
    expect(staged.output.lawn).toHaveLength(2);
    expect(staged.output.ground).toHaveLength(1);
    expect(totalAreaM2(staged.output.ground)).toBeCloseTo(200 + 1.5 * 2.04, 1);
  });

  it.each([
    ['that ends on the road', [draw.area('crossing', [rectangle(10, 4, 3, 2)])], 1],
    ['that touches no lawn', [draw.area('crossing', [rectangle(12, 4, 3, 2)])], 0],
  ] as const)('tells of a crossing %s', (_, crossing, contacts) => {
    const staged = derive([draw.area('lawn', [rectangle(0, 0, 10, 10)]), ...crossing]);
    expect(staged.findings).toMatchObject([
      { code: 'derive-lawn.crossing-dead-end', severity: 'caution', value: contacts, at: expect.anything() },
    ]);
  });

  it.each<[string, readonly ReturnType<typeof rectangle>[], ReturnType<typeof rectangle>]>([
    ['two lawns', [rectangle(0, 0, 10, 10), rectangle(12, 0, 10, 10)], rectangle(9, 4, 4, 2)],
    [
      'two sides of one lawn round a path',
      [
        [
          [0, 0],
          [10, 0],
          [10, 10],
          [6, 10],
          [6, 2],
          [4, 2],
          [4, 10],
          [0, 10],
        ],
      ],
      rectangle(4, 6, 2, 2),
    ],
    ['nothing, within one lawn', [rectangle(0, 0, 10, 10)], rectangle(4, 4, 2, 2)],
  ])('says nothing of a crossing between %s', (_, lawns, crossing) => {
    const staged = derive([...lawns.map((lawn) => draw.area('lawn', [lawn])), draw.area('crossing', [crossing])]);
    expect(codes(staged)).toEqual([]);
  });

  it('leaves a site that is all house without lawn, with the reason', () => {
    const staged = derive([
      draw.area('parcel', [rectangle(0, 0, 10, 10)]),
      draw.area('building', [rectangle(-1, -1, 12, 12)]),
    ]);
    expect(staged.output.lawn).toEqual([]);
    expect(staged.findings).toMatchObject([{ code: 'derive-lawn.nothing-to-mow', severity: 'stop' }]);
  });

  it('keeps trees, obstacles and keep-outs on the lawn instead of cutting them out', () => {
    const { output } = derive([
      draw.area('lawn', [rectangle(0, 0, 20, 20)]),
      draw.point('tree', 5, 5, { radius: 0.4 }),
      draw.area('obstacle', [rectangle(10, 10, 1, 1)], { height: 1, rigid: true }),
      draw.area('keep-out', [rectangle(14, 3, 2, 2)]),
    ]);
    expect(output.areaM2).toBeCloseTo(400, 4);
    expect(output.keepOuts.map(({ id, feature }) => [id, feature.kind])).toEqual([
      ['keep-out-1', 'tree'],
      ['keep-out-2', 'obstacle'],
      ['keep-out-3', 'keep-out'],
    ]);
    expect(totalAreaM2(output.keepOuts[0].polygons)).toBeGreaterThan(Math.PI * 0.16);
    expect(totalAreaM2(output.keepOuts[0].polygons)).toBeLessThan(Math.PI * 0.402 * 0.402 + 1e-3);
  });
});
