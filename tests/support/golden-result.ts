import { auditPlan } from '#geo-core/stages/75-audit-plan.ts';
import type { UnprojectInput } from '#geo-core/stages/80-unproject-plan.ts';
import { goldenGarden, goldenRules, rectangle, ring } from './golden-garden.ts';
import { slopeSurveyOf } from './slope-survey.ts';

/**
 * The golden garden with everything the other stages would say about it, written down by hand: two zones left and right of
 * a passage drawn above the island, a strip to mow by hand, a supply cable, a week's schedule, one finding.
 */
export function goldenResult(): UnprojectInput {
  const garden = goldenGarden();
  const { output: audit } = auditPlan(garden, goldenRules);
  return {
    ...garden,
    stations: {
      stations: garden.stations.stations,
      candidates: [
        {
          rank: 1,
          at: { x: 5, y: 0.3 },
          headingDeg: 90,
          loopId: 'boundary-1',
          alongM: 4.7,
          reasons: ['4.7 m of straight wire before it'],
          straightM: 4.7,
          cableM: 3.3,
          margins: [{ rule: 'cable', value: 3.3, limit: 15, unit: 'm' }],
          comforts: [{ of: 'cable', value: 3.3, unit: 'm', costM: 3.3 }],
          discomfortM: 3.3,
        },
      ],
      supplyCable: ring([5, -3], [5, 0.3]),
    },
    slope: slopeSurveyOf((x) => 100 + 0.025 * x + 0.05 * Math.max(0, x - 10), { maxSlopePct: 7.5 }),
    zones: {
      zones: [
        {
          id: 'zone-1',
          polygons: [{ outer: rectangle(0.3, 0.3, 10, 9.7), holes: [] }],
          areaM2: 91.18,
          connectivity: 'reachable',
          area: 0,
          widestRadiusM: 4.2,
          widestAt: { x: 4.5, y: 5 },
        },
        {
          id: 'zone-2',
          polygons: [{ outer: rectangle(10, 0.3, 19.7, 9.7), holes: [] }],
          areaM2: 91.18,
          connectivity: 'narrow-passage',
          area: 0,
          widestRadiusM: 4.2,
          widestAt: { x: 15.5, y: 5 },
        },
      ],
      passages: [
        {
          id: 'passage-1',
          centreLine: ring([8.7, 8], [11.3, 8]),
          widthM: 3.4,
          lengthM: 2.6,
          narrowestAt: [
            { x: 10, y: 6.3 },
            { x: 10, y: 9.7 },
          ],
          connects: ['zone-1', 'zone-2'],
        },
      ],
    },
    slopeCheck: {
      steepWire: [],
      passages: [{ id: 'passage-1', alongPct: 5, acrossPct: 0.1 }],
      groundLengthM: [74.9],
      spansOnGroundM: [Float64Array.of(5, 3.4, 10.4, 3.4, 52.7)],
    },
    signal: {
      resistanceOhm: [0.99484],
      warmResistanceOhm: [1.073034],
      weak: [],
      faint: [],
      supply: { cableM: 3, areaMm2: 1.5, dropV: 0.27, dropPct: 0.96, powerW: 84 },
    },
    upkeep: {
      hoursPerWeek: 2.4,
      handMow: [{ polygon: { outer: rectangle(0, 0, 20, 0.2), holes: [] }, areaM2: 4, cause: 'edge-strip' }],
      schedule: [
        { zone: 'zone-1', day: 2, from: '09:00', to: '10:15' },
        { zone: 'zone-2', day: 4, from: '09:00', to: '10:15' },
      ],
      seasons: [],
      carries: [],
      energyKwhPerYear: 60,
    },
    audit,
    findings: [
      {
        code: 'classify-edges.unknown-beyond',
        severity: 'note',
        message: 'Nothing is said about 60.0 m of 60.0 m of lawn edge; it counts as open ground.',
        advice: 'Walk the edge before ordering.',
        value: 60,
        limit: 0,
        unit: 'm',
        at: { x: 10, y: 0 },
      },
    ],
  };
}
