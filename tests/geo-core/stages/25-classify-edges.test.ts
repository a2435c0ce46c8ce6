import { describe, expect, it } from 'vitest';
import type { EdgeRing } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { deriveLawn } from '#geo-core/stages/15-derive-lawn.ts';
import { classifyEdges } from '#geo-core/stages/25-classify-edges.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, planeSiteOf, rectangle } from '../../support/plane-site.ts';

useKernel();
const draw = drawSite();
const rules = RULE_SETS[0];

function classify(features: readonly SiteFeatureInput[]) {
  const site = planeSiteOf(features);
  return classifyEdges({ site, lawn: deriveLawn({ site }, rules).output }, rules);
}

/** Length of ring by what lies beyond, metres, to the millimetre. */
function lengths(ring: EdgeRing): Record<string, number> {
  const sum: Record<string, number> = {};
  ring.beyond.forEach((beyond, i) => {
    const [a, b] = [2 * i, (2 * i + 2) % ring.ring.length];
    const length = Math.hypot(ring.ring[b] - ring.ring[a], ring.ring[b + 1] - ring.ring[a + 1]);
    sum[beyond] = Math.round(((sum[beyond] ?? 0) + length) * 1000) / 1000;
  });
  return sum;
}

describe('classify edges', () => {
  it('takes what is not said as unknown, with its offset', () => {
    const { output, findings } = classify([draw.area('lawn', [rectangle(0, 0, 20, 10)])]);
    expect(lengths(output[0].outer)).toEqual({ unknown: 60 });
    expect([...output[0].outer.offsetsM]).toEqual([0.2, 0.2, 0.2, 0.2]);
    expect(findings).toMatchObject([{ code: 'classify-edges.unknown-beyond', value: expect.closeTo(60, 3) }]);
  });

  it('splits an edge where the terrace beside it ends', () => {
    const { output } = classify([
      draw.area('lawn', [rectangle(0, 0, 20, 10)]),
      draw.area('paving', [rectangle(5, -3, 8, 3)]),
      draw.area('building', [rectangle(-4, 0, 4, 10)]),
    ]);
    expect(lengths(output[0].outer)).toEqual({ 'level-paving': 8, wall: 10, unknown: 42 });
  });

  it('lets an explicit edge win over what the neighbour would mean', () => {
    const { output } = classify([
      draw.area('lawn', [rectangle(0, 0, 20, 10)]),
      draw.area('paving', [rectangle(0, -3, 20, 3)]),
      draw.line(
        'edge',
        [
          [4, -0.1],
          [10, 0.1],
        ],
        { beyond: 'step-down' },
      ),
    ]);
    expect(lengths(output[0].outer)).toEqual({ 'step-down': 6, 'level-paving': 14, unknown: 40 });
    expect(output[0].outer.from).toContain('/features/2');
  });

  it('gives the rim of a pond inside the lawn the water distance and a caution', () => {
    const { output, findings } = classify([
      draw.area('lawn', [rectangle(0, 0, 20, 10)]),
      draw.area('water', [rectangle(8, 4, 3, 2)]),
    ]);
    expect(lengths(output[0].holes[0])).toEqual({ water: 10 });
    expect(findings.find(({ code }) => code === 'classify-edges.water')).toMatchObject({ severity: 'caution' });
  });

  it('finds the road beyond a verge edge, drawn as a line of a given width', () => {
    const { output } = classify([
      draw.area('lawn', [rectangle(0, 0, 20, 10)]),
      draw.line(
        'road',
        [
          [-5, 12],
          [25, 12],
        ],
        { width: 4 },
      ),
    ]);
    expect(lengths(output[0].outer)).toEqual({ road: 20, unknown: 40 });
  });

  it('says when an edge lies along no lawn', () => {
    const { findings } = classify([
      draw.area('lawn', [rectangle(0, 0, 20, 10)]),
      draw.line(
        'edge',
        [
          [3, 4],
          [9, 4],
        ],
        { beyond: 'drop' },
      ),
    ]);
    expect(findings.map(({ code }) => code)).toContain('classify-edges.edge-not-on-lawn');
  });

  it('leaves an edge that says nothing to the stage that read it', () => {
    const along = draw.line('edge', [
      [0, 0],
      [10, 0],
    ]);
    const { findings } = classify([draw.area('lawn', [rectangle(0, 0, 10, 10)]), along]);
    expect(findings.map(({ code }) => code)).not.toContain('classify-edges.edge-not-on-lawn');
  });
});
