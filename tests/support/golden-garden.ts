import type { AuditInput } from '#geo-core/audit/evidence.ts';
import type { Lead, Loop, Peg, Route, SettingOut, Span, Splice } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon, Polyline, Ring } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import type { TakeOffLine } from '#geo-core/model/take-off.ts';

const { about: _, ...defaultRules } = RULE_SETS[0];

/**
 * A correct plan written down by hand, never through the planner: a lawn of 20 x 10 m with an island of 2 x 2 m in it, wire
 * 0.3 m from both, square corners, one lead from below. Known in closed form: boundary 57.6 m, keep-out loop 10.4 m, lead
 * 3.4 m, route 74.8 m, working area 175.6 m².
 *
 *      +---------------------------+
 *      | ┌───────────◄───────────┐ |
 *      | │         ┌───┐         │ |
 *      | ▼         │ ■ │         ▲ |
 *      | │         └─╥─┘         │ |
 *      | └────S──►───╨───────────┘ |      S station at (5, 0.3), heading east
 *      +---------------------------+
 */
export const goldenRules: Rules = {
  ...defaultRules,
  name: 'golden',
  offsetsM: { ...defaultRules.offsetsM, unknown: 0.3, keepOut: 0.3 },
  chamferLegM: 0,
  reflexJoin: 'mitre',
  cornerSpareM: 0,
  spoolM: 50,
  edgeLapsPerWeek: 0,
};

export const goldenSite: PlaneSite = {
  id: 'golden',
  name: 'Invented garden',
  plane: { originLonDeg: 8, originLatDeg: 50 },
  gridM: 1e-5,
  features: [],
  prices: {},
  quiet: [],
  units: 'metric',
  locale: 'en',
};

/** With the lower edge of the island at another height than 4 m everything moves with it and stays correct. */
export function goldenGarden(islandBottomM = 4): AuditInput {
  const island = rectangle(9, islandBottomM, 11, islandBottomM + 2);
  const lawn = rectangle(0, 0, 20, 10);
  const inside = rectangle(0.3, 0.3, 19.7, 9.7);
  const [bottom, top] = [islandBottomM - 0.3, islandBottomM + 2.3];
  const around = ring([8.7, bottom], [8.7, top], [11.3, top], [11.3, bottom]);
  const lead: Lead = {
    id: 'lead-1',
    line: ring([10, 0.3], [10, bottom]),
    lengthM: bottom - 0.3,
    connects: ['boundary-1', 'keep-out-loop-1'],
  };
  const boundary: Loop = {
    id: 'boundary-1',
    kind: 'boundary',
    ring: inside,
    lengthM: 57.6,
    area: 0,
    part: 0,
    around: [],
  };
  const keepOut: Loop = {
    id: 'keep-out-loop-1',
    kind: 'keep-out',
    ring: around,
    lengthM: 10.4,
    area: 0,
    part: 0,
    around: ['/features/1'],
    arrangement: { kind: 'own-loop', wireM: 10.4 + 2 * 3.4, costM: 10.4 + 2 * 3.4 },
  };
  const route = routeOf(
    ring(
      [5, 0.3],
      [10, 0.3],
      [10, bottom],
      [8.7, bottom],
      [8.7, top],
      [11.3, top],
      [11.3, bottom],
      [10, bottom],
      [10, 0.3],
      [19.7, 0.3],
      [19.7, 9.7],
      [0.3, 9.7],
      [0.3, 0.3],
      [5, 0.3],
    ),
    [
      { of: 'boundary', id: 'boundary-1', firstVertex: 0, lastVertex: 1 },
      { of: 'lead', id: 'lead-1', firstVertex: 1, lastVertex: 2 },
      { of: 'keep-out', id: 'keep-out-loop-1', firstVertex: 2, lastVertex: 7 },
      { of: 'lead', id: 'lead-1', firstVertex: 7, lastVertex: 8 },
      { of: 'boundary', id: 'boundary-1', firstVertex: 8, lastVertex: 13 },
    ],
  );
  const settingOut: SettingOut = {
    pegs: pegsOf(route),
    splices: splicesOf(route),
    spoolCount: 2,
    stretches: route.spans.map(({ of, id, firstVertex, lastVertex }, i) => ({
      signalUnit: 1,
      fromM: route.chainageM[firstVertex],
      toM: route.chainageM[lastVertex],
      of,
      id,
      over: 'firm',
      shared: i === 3,
    })),
    parts: [
      { signalUnit: 1, of: 'boundary', id: 'boundary-1', lengthM: 57.6, groundLengthM: null, corners: 5 },
      { signalUnit: 1, of: 'lead', id: 'lead-1', lengthM: 2 * lead.lengthM, groundLengthM: null, corners: 2 },
      { signalUnit: 1, of: 'keep-out', id: 'keep-out-loop-1', lengthM: 10.4, groundLengthM: null, corners: 5 },
    ],
    spools: [
      { spool: 1, lengthM: 50, usedM: 49.98, leftM: 0.02, lays: [{ signalUnit: 1, fromM: 0, toM: SPLICED_M }] },
      {
        spool: 2,
        lengthM: 50,
        usedM: 1.05 * (route.lengthM - SPLICED_M + 1),
        leftM: 50 - 1.05 * (route.lengthM - SPLICED_M + 1),
        lays: [{ signalUnit: 1, fromM: SPLICED_M, toM: route.lengthM }],
      },
    ],
  };
  const piece = { group: 'material', unit: 'piece', unitPrice: 0, discountPct: 0, tax: 'standard', amount: 0 } as const;
  const lines: TakeOffLine[] = [
    {
      code: 'wire',
      what: 'wire 1.5 mm²',
      group: 'material',
      quantity: 80.64,
      unit: 'm',
      unitPrice: 0.6,
      discountPct: 0,
      tax: 'standard',
      amount: 48.38,
    },
    { ...piece, code: 'splice', what: 'splice', quantity: 1, unitPrice: 3.5, amount: 3.5 },
    { ...piece, code: 'peg', what: 'peg', quantity: settingOut.pegs.length },
    { ...piece, code: 'spool', what: 'spool of 50 m', quantity: 2 },
    { ...piece, code: 'end-connector', what: 'end connector', quantity: 2 },
    {
      code: 'laying',
      what: 'laying wire',
      group: 'labour',
      quantity: 2.5,
      unit: 'h',
      unitPrice: 52,
      discountPct: 0,
      tax: 'standard',
      amount: 130,
    },
  ];
  const polygon: Polygon = { outer: lawn, holes: [] };
  return {
    site: {
      ...goldenSite,
      features: [
        { kind: 'lawn', pointer: '/features/0', shape: { type: 'area', polygons: [polygon] } },
        { kind: 'keep-out', pointer: '/features/1', shape: { type: 'area', polygons: [{ outer: island, holes: [] }] } },
      ],
    },
    lawn: {
      lawn: [polygon],
      ground: [polygon],
      crossings: [],
      keepOuts: [
        {
          id: 'keep-out-1',
          feature: { kind: 'keep-out', pointer: '/features/1' },
          polygons: [{ outer: island, holes: [] }],
          discs: [],
          offsetM: 0.3,
        },
      ],
      noWire: [],
      derived: false,
      areaM2: 200,
    },
    slope: undefined,
    edges: [
      {
        outer: {
          ring: lawn,
          beyond: ['unknown', 'unknown', 'unknown', 'unknown'],
          offsetsM: Float64Array.of(0.3, 0.3, 0.3, 0.3),
          from: ['unknown', 'unknown', 'unknown', 'unknown'],
        },
        holes: [],
      },
    ],
    loops: {
      workingArea: [{ outer: inside, holes: [around], part: 0 }],
      loops: [boundary, keepOut],
      bays: [],
      bumped: [],
      steep: [],
    },
    zones: {
      zones: [
        {
          id: 'zone-1',
          polygons: [{ outer: inside, holes: [around] }],
          areaM2: 175.6,
          connectivity: 'reachable',
          area: 0,
          widestRadiusM: 4.2,
          widestAt: { x: 15.5, y: 5 },
        },
      ],
      passages: [],
    },
    stations: {
      stations: [
        {
          id: 'station-1',
          role: 'charging',
          part: 0,
          fixedByUser: false,
          at: { x: 5, y: 0.3 },
          headingDeg: 90,
          loopId: 'boundary-1',
          alongM: 4.7,
        },
      ],
      candidates: [],
    },
    route: { leads: [lead], routes: [route] },
    settingOut,
    takeOff: {
      lines,
      labour: [],
      wire: [
        {
          signalUnit: 1,
          lengthM: 74.8,
          groundLengthM: null,
          cornersM: 0,
          endsM: 2,
          reserveM: 3.84,
          orderM: 80.64,
        },
      ],
      parts: settingOut.parts,
      stretches: settingOut.stretches,
      spools: settingOut.spools,
      subtotal: 181.88,
      discountPct: 0,
      discount: 0,
      net: 181.88,
      taxes: [{ name: 'standard', pct: 19, net: 181.88, tax: 34.56 }],
      tax: 34.56,
      taxPct: 19,
      pricesIncludeTax: false,
      cashRounding: 0,
      priceTotal: 216.44,
      currency: 'EUR',
      minorUnits: 2,
      priceBook: { id: null, version: null, validFrom: null, validUntil: null },
    },
  };
}

/** A closed line with its chainage and length measured afresh. */
export function routeOf(line: Polyline, spans: readonly Span[]): Route {
  const chainageM = new Float64Array(line.length / 2);
  for (let i = 1; i < chainageM.length; i++) {
    const [dx, dy] = [line[i * 2] - line[i * 2 - 2], line[i * 2 + 1] - line[i * 2 - 1]];
    chainageM[i] = chainageM[i - 1] + Math.sqrt(dx * dx + dy * dy);
  }
  return { id: 'route-1', signalUnit: 1, line, chainageM, lengthM: chainageM[chainageM.length - 1], spans };
}

/** Pegs at every corner and evenly between, at most 0.75 m apart, every fourth for the trial; a lead's on the way out only. */
export function pegsOf(route: Route): Peg[] {
  const pegs: Peg[] = [];
  const peggedLeads = new Set<string>();
  for (const span of route.spans) {
    if (peggedLeads.has(span.id)) continue;
    if (span.of === 'lead') peggedLeads.add(span.id);
    for (let i = span.firstVertex; i < span.lastVertex; i++) {
      const [from, to] = [route.chainageM[i], route.chainageM[i + 1]];
      const count = Math.ceil((to - from) / 0.75);
      for (let k = 0; k < count; k++) {
        const chainageM = from + ((to - from) * k) / count;
        pegs.push({ at: placeAt(route, chainageM), chainageM, signalUnit: 1, pass: k % 4 === 0 ? 'trial' : 'final' });
      }
    }
  }
  return pegs;
}

/** So much does one spool of 50 m lay after a spare end of 1 m with 5 % of reserve: 50 / 1.05 - 1, rounded down to decimetres. */
const SPLICED_M = 46.6;

function splicesOf(route: Route): Splice[] {
  return [{ id: 'splice-1', at: placeAt(route, SPLICED_M), chainageM: SPLICED_M, signalUnit: 1, reason: 'spool-end' }];
}

export function placeAt({ line, chainageM }: Route, atM: number): PlanePoint {
  const i = Math.max(
    0,
    chainageM.findLastIndex((each) => each <= atM),
  );
  const j = Math.min(i + 1, chainageM.length - 1);
  const share = j === i ? 0 : (atM - chainageM[i]) / (chainageM[j] - chainageM[i]);
  return {
    x: line[i * 2] + share * (line[j * 2] - line[i * 2]),
    y: line[i * 2 + 1] + share * (line[j * 2 + 1] - line[i * 2 + 1]),
  };
}

export function rectangle(west: number, south: number, east: number, north: number): Ring {
  return ring([west, south], [east, south], [east, north], [west, north]);
}

export function ring(...points: readonly (readonly [number, number])[]): Ring {
  return Float64Array.from(points.flat());
}
