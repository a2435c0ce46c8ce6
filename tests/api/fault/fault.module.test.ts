import { describe, expect, it } from 'vitest';
import { problemSchema } from '#api/contract/problem-schema.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';
import { distanceM, type FaultSearch, loadKernel, localPlaneProjection, planSite } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { drawSite, rectangle } from '../../support/plane-site.ts';
import { useService } from '../../support/test-app.ts';

await loadKernel(readKernelBytes());
const service = useService();
const draw = drawSite();

/** 50 m by 40 m of lawn and spools of 50 m: a wire of some 180 m with three splices. */
function planned(): Plan {
  const features = [draw.area('lawn', [rectangle(0, 0, 50, 40)])];
  return planSite({ type: 'FeatureCollection', features }, { ...RULE_SETS[0], spoolM: 50 });
}

const ask = (question: unknown, type = 'application/json') =>
  service().request('/fault', {
    method: 'POST',
    headers: { 'content-type': type },
    body: JSON.stringify(question),
  });
async function search(question: unknown): Promise<FaultSearch> {
  const answer = await ask(question);
  expect(answer.status).toBe(200);
  return answer.json();
}

function figuresOf(plan: Plan) {
  for (const { properties } of plan.features) if (properties.kind === 'route') return properties;
  throw new Error('no route');
}
const splicesOf = (plan: Plan) =>
  plan.features.flatMap(({ id, properties }) =>
    properties.kind === 'splice' ? [{ id, chainageM: properties.chainageM }] : [],
  );

describe('POST /fault', () => {
  const plan = planned();
  const { lengthM, resistanceOhm } = figuresOf(plan);
  const splices = splicesOf(plan);

  it('halves the wire for a break, and shows every place on the route', async () => {
    const found = await search({ plan, measurements: [{ what: 'loop', ohm: null }] });
    const places = found.features.filter(({ properties }) => properties.kind === 'fault-place');
    // Stretches between splices, and the splices.
    expect(places).toHaveLength(2 * splices.length + 1);
    expect(found.search.openingsAtMost).toBe(Math.ceil(Math.log2(places.length)));
    const [next] = found.features.filter(({ properties }) => properties.kind === 'next-opening');
    expect(splices.map(({ id }) => id)).toContain(next.properties.splice);
    const lon = plan.bbox?.[0] ?? 0;
    const { toPlane } = localPlaneProjection({ originLonDeg: lon, originLatDeg: plan.bbox?.[1] ?? 0 });
    for (const { geometry, properties } of places) {
      if (properties.kind !== 'fault-place') continue;
      if (geometry.type !== 'LineString') {
        expect(geometry.type).toBe('Point');
        expect(properties.fromM).toBe(properties.toM);
        continue;
      }
      const at = geometry.coordinates.map(([x, y]) => toPlane(x, y));
      const longM = at.slice(1).reduce((sum, { x, y }, i) => sum + distanceM(at[i].x, at[i].y, x, y), 0);
      expect(longM).toBeCloseTo(properties.toM - properties.fromM, 2);
    }
  });

  it('finds a broken stretch by opening no more splices than it says', async () => {
    const breakM = 0.83 * lengthM;
    const measurements: unknown[] = [{ what: 'loop', ohm: null }];
    const ohm = (meters: number) => (resistanceOhm * meters) / lengthM;
    let found = await search({ plan, measurements });
    const most = found.search.openingsAtMost;
    for (let opened = 0; ; opened++) {
      const next = found.features.find(({ properties }) => properties.kind === 'next-opening');
      if (next?.properties.kind !== 'next-opening') break;
      expect(opened).toBeLessThan(most);
      const { splice, chainageM } = next.properties;
      measurements.push({
        what: 'opened',
        splice,
        beforeOhm: breakM < chainageM ? null : ohm(chainageM),
        afterOhm: breakM > chainageM ? null : ohm(lengthM - chainageM),
        spliceIsAtFault: false,
      });
      found = await search({ plan, measurements });
    }
    const [{ properties }] = found.features;
    if (properties.kind !== 'fault-place') throw new Error('no place is left');
    expect(found.features).toHaveLength(1);
    expect(properties.fromM).toBeLessThan(breakM);
    expect(properties.toM).toBeGreaterThan(breakM);
  });

  it('counts the temperature: copper has 3.93 % more resistance at 30 degrees Celsius', async () => {
    const { search: warm } = await search({
      plan,
      temperatureC: 30,
      spliceOhm: 0,
      measurements: [{ what: 'loop', ohm: null }],
    });
    expect(warm.soundLoopOhm / resistanceOhm).toBeCloseTo(1.0393, 6);
  });

  it('says when nothing fits', async () => {
    const [{ id, chainageM }] = splices;
    const found = await search({
      plan,
      measurements: [
        { what: 'loop', ohm: null },
        {
          what: 'opened',
          splice: id,
          beforeOhm: (resistanceOhm * chainageM) / lengthM,
          afterOhm: (resistanceOhm * (lengthM - chainageM)) / lengthM,
          spliceIsAtFault: false,
        },
      ],
    });
    expect(found.features).toEqual([]);
    expect(found.findings.map(({ code }) => code)).toEqual(['find-fault.fits-nothing']);
    expect(found.cautions.join(' ')).toContain('pull its plug');
  });

  it.each([
    ['no measurement', { plan, measurements: [] }, '/measurements'],
    ['a wire that is not there', { plan, signalUnit: 7, measurements: [{ what: 'loop', ohm: 1 }] }, '/plan/features'],
    [
      'a splice that is not there',
      {
        plan,
        measurements: [{ what: 'opened', splice: 'splice-99', beforeOhm: 1, afterOhm: 1, spliceIsAtFault: false }],
      },
      '/measurements/0/splice',
    ],
    [
      'a place beyond the end',
      { plan, measurements: [{ what: 'tone', chainageM: 1e4, heard: true }] },
      '/measurements/0/chainageM',
    ],
  ])('refuses %s by its place', async (_, question, pointer) => {
    const answer = await ask(question);
    expect(answer.status).toBe(422);
    const { errors } = problemSchema.parse(await answer.json());
    expect(errors?.map((each) => each.pointer)).toEqual([pointer]);
  });

  it('reads JSON only', async () => {
    expect((await ask({}, 'text/plain')).status).toBe(415);
  });
});
