import { describe, expect, it } from 'vitest';
import type { EdgeRing, SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import type { LocalPlane } from '#geo-core/model/position.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { deriveLawn } from '#geo-core/stages/15-derive-lawn.ts';
import { classifyEdges } from '#geo-core/stages/25-classify-edges.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, FIELD, planeSiteOf, rectangle } from '../../support/plane-site.ts';
import { slopeSurveyOf } from '../../support/slope-survey.ts';

useKernel();
const draw = drawSite();
const rules = RULE_SETS[0];

function classify(features: readonly SiteFeatureInput[], surveyOf?: (plane: LocalPlane) => SlopeSurvey) {
  const site = planeSiteOf(features);
  return classifyEdges({ site, lawn: deriveLawn({ site }, rules).output, slope: surveyOf?.(site.plane) }, rules);
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

  it('says from what it took each stretch that no edge was drawn along', () => {
    const { output, findings } = classify([
      draw.area('lawn', [rectangle(0, 0, 20, 10)]),
      draw.area('building', [rectangle(-4, 0, 4, 10)]),
      draw.area('paving', [rectangle(5, -3, 8, 3)]),
    ]);
    expect(new Set(output[0].outer.from)).toEqual(new Set(['/features/1', '/features/2', 'unknown']));
    const inferred = findings.find(({ code }) => code === 'classify-edges.inferred');
    expect(inferred?.message).toContain('10.0 m wall from building, 8.0 m level paving from paving');
    expect(inferred?.value).toBeCloseTo(18, 3);
  });

  it('of two drawn edges that contradict each other takes the larger distance, then the worse, in any order, and says so', () => {
    const along = (beyond: string, from: number, to: number) =>
      draw.line(
        'edge',
        [
          [from, 0],
          [to, 0],
        ],
        { beyond },
      );
    const lawn = draw.area('lawn', [rectangle(0, 0, 20, 10)]);
    // 12 to 15: fence (0.35 m) over planting (0.25 m); drop and wall are both 0.35 m, and a drop is worse.
    for (const drawn of [
      [along('planting', 2, 15), along('fence', 12, 20)],
      [along('fence', 12, 20), along('planting', 2, 15)],
    ]) {
      const { output, findings } = classify([lawn, ...drawn]);
      expect(lengths(output[0].outer)).toEqual({ planting: 10, fence: 8, unknown: 42 });
      const [twice] = findings.filter(({ code }) => code === 'classify-edges.edge-told-twice');
      expect(twice).toMatchObject({ severity: 'caution', value: expect.closeTo(3, 3) });
      expect(twice.message).toContain('one drawn edge has fence beyond and another planting');
    }
    for (const drawn of [
      [along('wall', 0, 20), along('drop', 0, 20)],
      [along('drop', 0, 20), along('wall', 0, 20)],
    ])
      expect(lengths(classify([lawn, ...drawn]).output[0].outer)).toEqual({ drop: 20, unknown: 40 });
  });

  it('gives both sides of a strip narrower than the reach their own drawn edge', () => {
    const strip = [draw.area('lawn', [rectangle(0, 0, 20, 0.4)])];
    const side = (y: number, beyond: string) =>
      draw.line(
        'edge',
        [
          [0, y],
          [20, y],
        ],
        { beyond },
      );
    const { output, findings } = classify([...strip, side(0, 'water'), side(0.4, 'level-paving')]);
    expect(lengths(output[0].outer)).toMatchObject({ water: 20, 'level-paving': 20 });
    expect(findings.map(({ code }) => code)).not.toContain('classify-edges.edge-told-twice');
  });

  it('takes a wall or fence drawn as an obstacle beside the lawn for a wall, as an area or as a line', () => {
    const { output } = classify([
      draw.area('lawn', [rectangle(0, 0, 20, 10)]),
      draw.area('obstacle', [rectangle(-0.3, 0, 0.3, 10)], { height: 1.8, rigid: true }),
      draw.line(
        'obstacle',
        [
          [4, 10.05],
          [16, 10.05],
        ],
        { height: 1, rigid: true },
      ),
      draw.area('obstacle', [rectangle(20, 0, 0.3, 10)], { height: 0.02 }),
    ]);
    expect(lengths(output[0].outer)).toEqual({ wall: 22, unknown: 38 });
  });

  it('reads planting, paving and water given as lines with the width they have', () => {
    const line = (kind: string, y: number, more = {}) =>
      draw.line(
        kind,
        [
          [0, y],
          [20, y],
        ],
        more,
      );
    const beside = (feature: SiteFeatureInput) =>
      lengths(classify([draw.area('lawn', [rectangle(0, 0, 20, 10)]), feature]).output[0].outer);
    expect(beside(line('planting', 10.3, { width: 0.6 }))).toEqual({ planting: 20, unknown: 40 });
    expect(beside(line('planting', 10.6, { width: 0.6 }))).toEqual({ unknown: 60 });
    expect(beside(line('water', 10.6, { width: 1.2 }))).toEqual({ water: 20, unknown: 40 });
    expect(beside(line('paving', 10.6))).toEqual({ 'level-paving': 20, unknown: 40 });
  });

  describe('with an elevation grid', () => {
    // The lawn is level; south of it the ground lies a metre lower, west of it as much higher.
    const terrace = (plane: LocalPlane) => {
      const [onPlane, drawn] = [localPlaneProjection(plane), localPlaneProjection(FIELD)];
      return slopeSurveyOf((px, py) => {
        const [lonDeg, latDeg] = onPlane.toLonLat(px, py);
        const { x, y } = drawn.toPlane(lonDeg, latDeg);
        return y < -0.2 ? 9 : x < -0.2 ? 11 : 10;
      });
    };

    it('proposes a drop and a step up where the ground says so and nothing else does, to be confirmed', () => {
      const { output, findings } = classify([draw.area('lawn', [rectangle(0, 0, 20, 10)])], terrace);
      expect(lengths(output[0].outer)).toEqual({ drop: 20, 'step-up': 10, unknown: 30 });
      expect(output[0].outer.from).toContain('/elevation');
      const drop = findings.find(({ code }) => code === 'classify-edges.drop-found');
      expect(drop).toMatchObject({ severity: 'caution', unit: 'm', value: expect.closeTo(1, 9) });
      expect(drop?.message).toContain('20.0 m of lawn edge that nothing is said about');
      expect(drop?.at?.y).toBeCloseTo(-5, 3);
      expect(findings.map(({ code }) => code)).toContain('classify-edges.step-up-found');
    });

    it('lets a drawn edge and what stands beside the lawn win over the heights', () => {
      const { output, findings } = classify(
        [
          draw.area('lawn', [rectangle(0, 0, 20, 10)]),
          draw.line(
            'edge',
            [
              [0, 0],
              [20, 0],
            ],
            { beyond: 'fence' },
          ),
          draw.area('building', [rectangle(-4, 0, 4, 10)]),
        ],
        terrace,
      );
      expect(lengths(output[0].outer)).toEqual({ fence: 20, wall: 10, unknown: 30 });
      expect(findings.map(({ code }) => code)).not.toContain('classify-edges.drop-found');
    });
  });
});
