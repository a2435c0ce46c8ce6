import { temperatureFactor } from '#geo-core/field/conductor.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import type { Block, Row } from './paper.ts';

/** Of the ground, degrees Celsius. */
const TEMPERATURES_C = [0, 5, 10, 15, 20, 25, 30] as const;
const CHECKS = ['loop', 'lap', 'keepOuts', 'leads', 'passages', 'station', 'pegs', 'outlet', 'hours'] as const;

/** What is measured, tried and signed before the customer takes over. */
export function commissioning(plan: Plan, wording: Wording): Block[] {
  const { say } = wording;
  return [
    { kind: 'heading', text: say('crew.commissioning') },
    { kind: 'paragraph', text: say('crew.commissioningIntro'), tone: 'plain' },
    ...loops(plan, wording),
    { kind: 'heading', text: say('crew.checks') },
    { kind: 'list', mark: 'box', items: CHECKS.map((check) => ({ text: say(`crew.check.${check}`) })) },
    { kind: 'heading', text: say('crew.trialLap') },
    { kind: 'signatures', labels: [say('crew.lapFrom'), say('crew.lapTo'), say('crew.lapStops')] },
    { kind: 'signatures', labels: [say('accept.place'), say('crew.signature')] },
  ];
}

/** Expected length and resistance of every loop, with its free ends, open at the station. */
function loops({ features, rules, takeoff }: Plan, wording: Wording): Block[] {
  const { say, length, fixed, number } = wording;
  const routes = features.flatMap(({ properties }) => (properties.kind === 'route' ? [properties] : []));
  if (routes.length === 0) return [];
  /** Wire from end to end, on the ground and with the bows at corners; free ends are part of it. */
  const laid = (signalUnit: number, routeM: number) => {
    const order = takeoff.wire.find((each) => each.signalUnit === signalUnit);
    const endsM = order?.endsM ?? 2 * rules.endSpareM;
    return { endsM, wireM: (order?.groundLengthM ?? routeM) + (order?.cornersM ?? 0) + endsM };
  };
  const lengthRows = routes.map(({ signalUnit, lengthM }): Row => {
    const { wireM, endsM } = laid(signalUnit, lengthM);
    return { role: 'plain', cells: [say('crew.unit', { n: signalUnit }), length(wireM, 2), length(endsM, 2), ''] };
  });
  const known = routes.filter(({ resistanceOhm }) => resistanceOhm > 0);
  const resistances = TEMPERATURES_C.map(
    (temperatureC): Row => ({
      role: 'plain',
      cells: [
        temperatureWords(temperatureC, wording),
        ...known.map(({ resistanceOhm, lengthM, signalUnit }) => {
          const openOhm = (resistanceOhm * laid(signalUnit, lengthM).wireM) / lengthM;
          const splicesOhm = spliceCount(features, signalUnit) * rules.spliceOhm;
          return `${fixed(openOhm * temperatureFactor(temperatureC) + splicesOhm, 2)}\u00a0Ω`;
        }),
        '',
      ],
    }),
  );
  return [
    {
      kind: 'table',
      columns: [
        { title: '', share: 1.4, align: 'start' },
        { title: say('crew.expectedLength'), share: 1.5, align: 'end' },
        { title: say('crew.expectedSpare'), share: 1.5, align: 'end' },
        { title: say('crew.measured'), share: 1.6, align: 'end' },
      ],
      rows: lengthRows,
    },
    ...(known.length === 0
      ? [{ kind: 'paragraph', text: say('crew.resistanceUnknown'), tone: 'plain' } as const]
      : [
          {
            kind: 'paragraph',
            text: say('crew.resistanceIntro', { area: number(rules.conductorMm2), class: rules.conductorClass }),
            tone: 'plain',
          } as const,
          {
            kind: 'table',
            columns: [
              { title: say('crew.temperature'), share: 1, align: 'start' },
              ...known.map(({ signalUnit }) => ({
                title: say('crew.unit', { n: signalUnit }),
                share: 1,
                align: 'end' as const,
              })),
              { title: say('crew.measured'), share: 1.2, align: 'end' },
            ],
            rows: resistances,
          } as const,
        ]),
  ];
}

function spliceCount(features: Plan['features'], signalUnit: number): number {
  return features.filter(({ properties }) => properties.kind === 'splice' && properties.signalUnit === signalUnit)
    .length;
}

function temperatureWords(temperatureC: number, { units, number }: Wording): string {
  return units === 'us' ? `${number((temperatureC * 9) / 5 + 32)}\u00a0°F` : `${number(temperatureC)}\u00a0°C`;
}
