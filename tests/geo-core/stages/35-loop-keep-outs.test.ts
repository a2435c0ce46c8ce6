import { describe, expect, it } from 'vitest';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { polygonAreaM2, ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { deriveLawn } from '#geo-core/stages/15-derive-lawn.ts';
import { classifyEdges } from '#geo-core/stages/25-classify-edges.ts';
import { offsetBoundary } from '#geo-core/stages/30-offset-boundary.ts';
import { loopKeepOuts } from '#geo-core/stages/35-loop-keep-outs.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, type Metres, planeSiteOf, rectangle } from '../../support/plane-site.ts';

useKernel();
const draw = drawSite();
const defaults = RULE_SETS[0];

function lay(features: readonly SiteFeatureInput[], rules: Rules = defaults) {
  const site = planeSiteOf(features, rules);
  const lawn = deriveLawn({ site }, rules).output;
  const edges = classifyEdges({ site, lawn }, rules).output;
  const inset = offsetBoundary({ edges, gridM: site.gridM }, rules).output;
  const staged = loopKeepOuts({ lawn, edges, inset, slope: undefined, gridM: site.gridM }, rules);
  return { ...staged.output, findings: staged.findings, codes: staged.findings.map(({ code }) => code), inset };
}

const garden = (...others: SiteFeatureInput[]) => [draw.area('lawn', [rectangle(0, 0, 20, 10)]), ...others];
const ofKind = (kind: string) => (loop: { kind: string }) => loop.kind === kind;

describe('loop keep-outs', () => {
  it('gives the golden garden its two loops: 57.6 m and 10.4 m, mitred (check-golden, exact)', () => {
    const all = { ...defaults.offsetsM, unknown: 0.3, keepOut: 0.3 };
    const rules: Rules = { ...defaults, offsetsM: all, reflexJoin: 'mitre', chamferLegM: 0 };
    const { loops } = lay(garden(draw.area('keep-out', [rectangle(9, 4, 2, 2)])), rules);
    expect(loops.map(({ kind, lengthM }) => [kind, lengthM])).toEqual([
      ['boundary', expect.closeTo(57.6, 6)],
      ['keep-out', expect.closeTo(10.4, 6)],
    ]);
  });

  it('puts a round loop round a tree, 2 pi (r + d) long and never nearer than d', () => {
    const { loops } = lay(garden(draw.point('tree', 10, 5, { radius: 0.4 })));
    const [loop] = loops.filter(ofKind('keep-out'));
    const exact = 2 * Math.PI * 0.65;
    expect(loop.lengthM).toBeGreaterThanOrEqual(exact);
    expect(loop.lengthM).toBeLessThan(exact * 1.004);
    expect(ringAreaM2(loop.ring)).toBeLessThan(0);
    expect(loop.around).toEqual(['/features/1']);
  });

  it('lets two trees share one loop when their loops would be nearer than the gap', () => {
    const near = lay(garden(draw.point('tree', 9, 5, { radius: 0.2 }), draw.point('tree', 10.4, 5, { radius: 0.2 })));
    expect(near.loops.filter(ofKind('keep-out')).map(({ around }) => around)).toEqual([['/features/1', '/features/2']]);
    const apart = lay(garden(draw.point('tree', 8, 5, { radius: 0.2 }), draw.point('tree', 9.8, 5, { radius: 0.2 })));
    expect(apart.loops.filter(ofKind('keep-out'))).toHaveLength(2);
  });

  it('makes a bay of a keep-out near the boundary wire, one loop less', () => {
    const { loops, bays } = lay(garden(draw.area('keep-out', [rectangle(8, 0.9, 2, 1)])));
    expect(loops.filter(ofKind('keep-out'))).toEqual([]);
    expect(bays.map(({ around }) => around)).toEqual([['/features/1']]);
    expect(polygonAreaM2(bays[0].polygon)).toBeGreaterThan(2 * 1.95);
  });

  it('lays no wire round what is rigid and tall enough where the rules allow bumping, and says so', () => {
    const stone = draw.area('obstacle', [rectangle(8, 4, 1, 1)], { rigid: true, height: 0.5 });
    const low = draw.area('obstacle', [rectangle(12, 4, 1, 1)], { rigid: true, height: 0.1 });
    const bumping: Rules = { ...defaults, bumpHeightM: 0.2 };
    const { loops, bumped, codes } = lay(garden(stone, low), bumping);
    expect(bumped).toEqual(['keep-out-1']);
    expect(codes).toContain('loop-keep-outs.bumped');
    expect(loops.filter(ofKind('keep-out')).map(({ around }) => around)).toEqual([['/features/2']]);
    expect(lay(garden(stone, low)).bumped).toEqual([]);
  });

  it('never bumps a young tree, however rigid it is said to be', () => {
    const tree = draw.point('tree', 10, 5, { radius: 0.1, rigid: true, height: 6 });
    expect(lay(garden(tree), { ...defaults, bumpHeightM: 0.2 }).loops.filter(ofKind('keep-out'))).toHaveLength(1);
  });

  it('parts a lawn at a neck too narrow for two wires and keeps both sides', () => {
    const dumbbell: Metres = [
      [0, 0],
      [8, 0],
      [8, 4.5],
      [14, 4.5],
      [14, 0],
      [22, 0],
      [22, 10],
      [14, 10],
      [14, 5.5],
      [8, 5.5],
      [8, 10],
      [0, 10],
    ];
    const { workingArea, inset, codes } = lay([draw.area('lawn', [dumbbell])]);
    expect(inset).toHaveLength(1);
    expect(workingArea.map(({ part }) => part)).toEqual([0, 0]);
    expect(codes).toContain('loop-keep-outs.narrow-ground');
  });

  it('tells of all ground too narrow for two wires in one finding, at the largest place', () => {
    const fingers: Metres = [
      [0, 0],
      [20, 0],
      [20, 6],
      [25, 6],
      [25, 7],
      [20, 7],
      [20, 10],
      [0, 10],
      [0, 3],
      [-2, 3],
      [-2, 2],
      [0, 2],
    ];
    const { findings } = lay([draw.area('lawn', [fingers])]);
    expect(findings).toEqual([
      expect.objectContaining({
        code: 'loop-keep-outs.narrow-ground',
        message: expect.stringMatching(
          /^\d\.\d\d m² of lawn in 2 places \(the largest has \d\.\d\d m²\) are too narrow for two wires 0\.80 m apart/,
        ),
      }),
    ]);
    const [{ at }] = findings;
    expect(at?.x).toBeGreaterThan(0);
  });

  it('says nothing of narrow ground where there is no working area at all', () => {
    expect(lay([draw.area('lawn', [rectangle(0, 0, 20, 0.9)])]).codes).toEqual(['loop-keep-outs.no-working-area']);
  });

  it('cuts a finger off that the machine could not turn in, and keeps a square corner', () => {
    const finger: Metres = [
      [0, 0],
      [20, 0],
      [20, 10],
      [10.9, 10],
      [10.9, 14],
      [10, 14],
      [10, 10],
      [0, 10],
    ];
    const { workingArea } = lay([draw.area('lawn', [finger])], { ...defaults, chamferLegM: 0 });
    const whole = 19.6 * 9.6;
    expect(workingArea).toHaveLength(1);
    expect(totalAreaM2(workingArea)).toBeGreaterThan(whole - 0.01);
    expect(totalAreaM2(workingArea)).toBeLessThan(whole + 0.15);
  });

  it('makes two turns of 45 degrees of every square corner, with the leg asked for', () => {
    const { workingArea } = lay(garden());
    expect(workingArea[0].outer).toHaveLength(16);
    expect(totalAreaM2(workingArea)).toBeCloseTo(19.6 * 9.6 - 4 * 0.045, 5);
  });
});
