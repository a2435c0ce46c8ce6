import { describe, expect, it } from 'vitest';
import type { Loop } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { ringSegments } from '#geo-core/plane/box-index.ts';
import { polygonAreaM2, ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInRing } from '#geo-core/plane/polygons.ts';
import { segmentSegmentM } from '#geo-core/plane/segment.ts';
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
  return { ...staged.output, findings: staged.findings, lawn, codes: staged.findings.map(({ code }) => code), inset };
}

const garden = (...others: SiteFeatureInput[]) => [draw.area('lawn', [rectangle(0, 0, 20, 10)]), ...others];
const ofKind =
  <Kind extends Loop['kind']>(kind: Kind) =>
  (loop: Loop): loop is Extract<Loop, { kind: Kind }> =>
    loop.kind === kind;

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
    const { loops } = lay(garden(draw.point('tree', 10, 5, { radius: 0.4 })), { ...defaults, bendToleranceM: 0 });
    const [loop] = loops.filter(ofKind('keep-out'));
    const exact = 2 * Math.PI * 0.65;
    expect(loop.lengthM).toBeGreaterThanOrEqual(exact);
    expect(loop.lengthM).toBeLessThan(exact * 1.004);
    expect(ringAreaM2(loop.ring)).toBeLessThan(0);
    expect(loop.around).toEqual(['/features/1']);
  });

  it('pegs the loop round a tree with the fewest tangents within the tolerance: pi / acos(R / (R + t)), rounded up', () => {
    const { loops } = lay(garden(draw.point('tree', 10, 5, { radius: 0.45 })));
    const [{ ring }] = loops.filter(ofKind('keep-out'));
    expect(ring).toHaveLength(2 * Math.ceil(Math.PI / Math.acos(0.7 / (0.7 + defaults.bendToleranceM))));
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
    const { workingArea, inset, findings } = lay([draw.area('lawn', [dumbbell])]);
    expect(inset).toHaveLength(1);
    expect(workingArea.map(({ part }) => part)).toEqual([0, 0]);
    expect(findings.map(({ code }) => code)).toEqual([
      'loop-keep-outs.narrow-ground',
      'loop-keep-outs.narrow-corridor',
    ]);
  });

  it('says of each corridor by how much it is too narrow for both offsets and the gap, keep-outs counted as walls', () => {
    // Three rooms: the first way is 1.00 m wide (0.20 + 0.80 + 0.20 needed); in the second, 2.00 m wide, a post of 0.4 m leaves 0.9 and 0.7 m.
    const rooms: Metres = [
      [0, 0],
      [8, 0],
      [8, 4.5],
      [11, 4.5],
      [11, 0],
      [19, 0],
      [19, 4],
      [25, 4],
      [25, 0],
      [33, 0],
      [33, 10],
      [25, 10],
      [25, 6],
      [19, 6],
      [19, 10],
      [11, 10],
      [11, 5.5],
      [8, 5.5],
      [8, 10],
      [0, 10],
    ];
    const post = draw.area('keep-out', [rectangle(21.8, 4.9, 0.4, 0.4)]);
    const { findings, workingArea } = lay([draw.area('lawn', [rooms]), post]);
    expect(workingArea).toHaveLength(3);
    const corridors = findings.filter(({ code }) => code === 'loop-keep-outs.narrow-corridor');
    expect(corridors.map(({ value, limit, unit }) => [value, limit, unit])).toEqual([
      [expect.closeTo(0.7, 6), expect.closeTo(1.25, 6), 'm'],
      [expect.closeTo(0.9, 6), expect.closeTo(1.25, 6), 'm'],
      [expect.closeTo(1, 6), expect.closeTo(1.2, 6), 'm'],
    ]);
    expect(corridors[2].message).toContain('0.20 m too narrow');
    expect(corridors[0].at?.y).toBeGreaterThan(corridors[1].at?.y ?? 0);
  });

  it('says of every keep-out loop how it is arranged, its wire with twice the lead, and what the next best would cost', () => {
    const { loops } = lay(garden(draw.area('keep-out', [rectangle(9, 4, 2, 2)])));
    const [loop] = loops.filter(ofKind('keep-out'));
    const leadM = 4 - 0.25 - 0.2;
    const wireM = loop.lengthM + 2 * leadM;
    expect(loop.arrangement).toEqual({
      kind: 'own-loop',
      wireM: expect.closeTo(wireM, 6),
      costM: expect.closeTo(wireM, 6),
      // A bay with a throat one gap wide saves two gaps of wire and loses lawn worth 2.5 m of wire a square metre.
      nextBestM: expect.closeTo(wireM - 2 * 0.8 + 2.5 * 0.8 * leadM, 6),
    });
  });

  it('says what a bay adds to the boundary wire: out and back along a keep-out at the edge', () => {
    const square: Rules = { ...defaults, reflexJoin: 'mitre', chamferLegM: 0 };
    const { bays } = lay(garden(draw.area('keep-out', [rectangle(8, 0, 2, 1)])), square);
    expect(bays.map(({ arrangement }) => arrangement)).toEqual([
      { kind: 'bay', wireM: expect.closeTo(2 * (1.25 - 0.2), 2), costM: expect.closeTo(2 * (1.25 - 0.2), 2) },
    ]);
  });

  it('makes a bay of what stands off the edge where lawn is worth little, with a note of both costs', () => {
    const bed = draw.area('keep-out', [rectangle(4, 1.5, 12, 2)]);
    const cheap: Rules = { ...defaults, handMowCostMPerM2: 1.5 };
    expect(lay(garden(bed)).bays).toEqual([]);
    const { bays, findings } = lay(garden(bed), cheap);
    expect(bays).toHaveLength(1);
    const [{ arrangement }] = bays;
    expect(arrangement.costM).toBeLessThan(arrangement.nextBestM ?? 0);
    expect(findings).toContainEqual(
      expect.objectContaining({
        code: 'loop-keep-outs.bay',
        value: arrangement.costM,
        limit: arrangement.nextBestM,
        subject: '/features/1',
      }),
    );
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

  it('leads the boundary wire round ground where nothing may be laid, a little clear of it, and says what lawn that costs', () => {
    const plain = totalAreaM2(lay(garden()).workingArea);
    const { workingArea, findings, bays, lawn } = lay(garden(draw.area('no-wire', [rectangle(8, -1, 2, 2.5)])));
    expect(workingArea).toHaveLength(1);
    const [{ outer: shut }] = lawn.noWire;
    const wire = ringSegments(workingArea.map(({ outer }) => outer));
    for (let i = 0; i < wire.length; i += 4)
      for (let k = 0; k < shut.length; k += 2) {
        const next = (k + 2) % shut.length;
        const [ax, ay, bx, by] = wire.subarray(i, i + 4);
        expect(pointInRing(shut, ax, ay)).toBe(false);
        expect(segmentSegmentM(ax, ay, bx, by, shut[k], shut[k + 1], shut[next], shut[next + 1])).toBeGreaterThan(
          0.0999,
        );
      }
    expect(bays.map(({ around }) => around)).toEqual([['no-wire-1']]);
    const lostM2 = plain - totalAreaM2(workingArea);
    expect(lostM2).toBeGreaterThan(2.2 * 1.4 - 0.02);
    expect(findings).toContainEqual(
      expect.objectContaining({ code: 'loop-keep-outs.round-no-wire', value: expect.closeTo(lostM2, 9), unit: 'm²' }),
    );
  });

  it('leaves ground where nothing may be laid to the machine where no wire comes near it', () => {
    const { workingArea, codes } = lay(garden(draw.area('no-wire', [rectangle(8, 4, 3, 2)])));
    expect(totalAreaM2(workingArea)).toBeCloseTo(totalAreaM2(lay(garden()).workingArea), 9);
    expect(codes).toEqual([]);
  });

  it('takes ground where nothing may be laid into the loop of a keep-out whose wire would cross it', () => {
    const bed = draw.area('keep-out', [rectangle(9, 4, 2, 2)]);
    const { loops } = lay(garden(bed, draw.area('no-wire', [rectangle(10, 5, 3, 0.5)])));
    expect(loops.filter(ofKind('keep-out')).map(({ around }) => around)).toEqual([['/features/1', 'no-wire-1']]);
  });

  it('says where ground for no wire spans the lawn from side to side', () => {
    const { workingArea, findings } = lay(garden(draw.area('no-wire', [rectangle(9, -1, 2, 12)])));
    expect(workingArea).toHaveLength(2);
    expect(findings.map(({ code }) => code)).toContain('loop-keep-outs.no-wire-across');
  });
});
