import fc from 'fast-check';
import { NUMBER_FIELDS, OFFSET_KEYS, RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { BEYONDS, type SiteKind } from '#geo-core/model/site.ts';
import type { Drawing, Placement, Relief, Spot, Thing, Wording } from './drawing.ts';
import { acrossM, box, metres, outline, rectangle, roundThing } from './outlines.ts';

/** Generators of gardens, of places for them and of rules. */

const spot = fc.tuple(acrossM, acrossM);

/** A straight, bent or crooked line somewhere. */
const crookedLine: fc.Arbitrary<Spot[]> = fc.array(spot, { minLength: 2, maxLength: 4 });

const area = (
  kind: SiteKind,
  reachM: number,
  properties: fc.Arbitrary<Thing['properties']> = fc.constant({}),
): fc.Arbitrary<Thing> =>
  fc
    .tuple(fc.oneof(roundThing(reachM), box(reachM)), properties)
    .map(([spots, more]) => ({ kind, shape: 'area', spots, properties: more }));
const point = (kind: SiteKind, properties: fc.Arbitrary<Thing['properties']> = fc.constant({})): fc.Arbitrary<Thing> =>
  fc.tuple(spot, properties).map(([at, more]) => ({ kind, shape: 'point', spots: [at], properties: more }));
const line = (kind: SiteKind, widthMaxM: number): fc.Arbitrary<Thing> =>
  fc
    .tuple(crookedLine, metres(0.2, widthMaxM))
    .map(([spots, width]) => ({ kind, shape: 'line', spots, properties: { width } }));

const tree = point('tree', fc.record({ radius: metres(0.1, 0.6) }));
const keepOut = area('keep-out', 2);
const outlet = point('outlet');

/** Everything that may lie about in a garden. */
const thing: fc.Arbitrary<Thing> = fc.oneof(
  tree,
  keepOut,
  outlet,
  area('obstacle', 1.5, fc.record({ height: metres(0, 2), rigid: fc.boolean() })),
  point('keep-out', fc.record({ radius: metres(0.1, 3) })),
  area('building', 5),
  area('planting', 3),
  point('planting', fc.record({ radius: metres(0.3, 2) })),
  area('water', 3),
  line('water', 1.5),
  line('paving', 2),
  line('planting', 1.5),
  line('road', 5),
  area('paving', 4),
  point('sprinkler', fc.record({ radius: metres(1, 6) })),
);

/** What bears on the wire or the station without being ground. */
const ruling: fc.Arbitrary<Thing> = fc.oneof(
  area('no-wire', 2),
  line('no-wire', 1),
  line('crossing', 2.5),
  point('station', fc.record({ heading: fc.integer({ min: -180, max: 360 }) })),
);

const beyonds = fc.array(fc.option(fc.constantFrom(...BEYONDS), { nil: undefined }), { maxLength: 8 });

/** Ordinary gardens: one clean lawn, some keep-outs and trees (some of them off the lawn), some edges named. */
export const garden: fc.Arbitrary<Drawing> = fc.record({
  lawns: outline.map((outer) => [[outer]]),
  things: fc
    .tuple(fc.array(keepOut, { maxLength: 4 }), fc.array(tree, { maxLength: 4 }), fc.array(outlet, { maxLength: 1 }))
    .map((lists) => lists.flat()),
  beyond: beyonds,
  neat: fc.constant(true),
});

/** Two lawns on either side of a paved way, with a crossing where the machine may drive over it.
 *
 *     +--------+ : +-------+
 *     |        +===+       |
 *     |        +===+       |
 *     +--------+ : +-------+
 */
const partedGarden: fc.Arbitrary<Drawing> = fc
  .record({
    near: fc.tuple(metres(5, 20), metres(5, 20)),
    far: fc.tuple(metres(5, 20), metres(5, 20)),
    wayM: metres(0.5, 3),
    crossing: fc.tuple(metres(0, 12), metres(0.6, 4)),
    things: fc.array(thing, { maxLength: 3 }),
    beyond: beyonds,
  })
  .map(({ near: [nearM, nearDepthM], far: [farM, farDepthM], wayM, crossing: [from, widthM], things, beyond }) => ({
    lawns: [[rectangle(0, 0, nearM, nearDepthM)], [rectangle(nearM + wayM, 0, farM, farDepthM)]],
    things: [
      ...things,
      { kind: 'paving', shape: 'area', spots: rectangle(nearM, -2, wayM, 26), properties: {} },
      { kind: 'crossing', shape: 'area', spots: rectangle(nearM, from, wayM, widthM), properties: {} },
    ],
    beyond,
  }));

const relief: fc.Arbitrary<Relief> = fc.record({
  slopeEastPct: fc.integer({ min: -45, max: 45 }),
  slopeNorthPct: fc.integer({ min: -45, max: 45 }),
  waveM: metres(0, 0.3),
  cellM: metres(0.5, 3),
  unknownEvery: fc.constantFrom(0, 0, 7, 50),
});

/** Gardens full of everything the site format knows. */
const fullGarden: fc.Arbitrary<Drawing> = fc.record({
  lawns: fc.tuple(outline, fc.array(roundThing(4), { maxLength: 2 })).map(([outer, holes]) => [[outer, ...holes]]),
  things: fc.tuple(fc.array(thing, { maxLength: 6 }), fc.array(ruling, { maxLength: 2 })).map((lists) => lists.flat()),
  beyond: beyonds,
  relief: fc.option(relief, { nil: undefined, freq: 2 }),
});

/** A parcel and a house; the lawn is derived. */
const parcelOnly: fc.Arbitrary<Drawing> = fullGarden.map(({ lawns: [rings], things }) => ({
  lawns: [],
  things: [{ kind: 'parcel', shape: 'area', spots: rings[0], properties: {} }, ...things],
  beyond: [],
}));

const HARMS = ['repeat', 'spike', 'swap', 'reverse', 'collinear', 'touch', 'nearly-repeat', 'sliver', 'pinch'] as const;

/** Gardens as a hurried hand leaves them: repeated corners, spikes, bow-ties, holes anywhere, lawns over each other, slits. */
export const messyGarden: fc.Arbitrary<Drawing> = fc
  .record({
    base: fc.oneof(garden, fullGarden),
    second: fc.option(outline, { nil: undefined }),
    holes: fc.array(roundThing(4), { maxLength: 3 }),
    harm: fc.array(fc.constantFrom(...HARMS), { maxLength: 4 }),
    where: fc.nat(60),
  })
  .map(({ base, second, holes, harm, where }) => {
    const outer = harm.reduce((ring, kind, i) => harmed(ring, kind, where + 7 * i), base.lawns[0][0]);
    const first = [outer, ...holes];
    return { ...base, neat: false, lawns: second === undefined ? [first] : [first, [second]] };
  });

function harmed(ring: readonly Spot[], kind: (typeof HARMS)[number], where: number): readonly Spot[] {
  const at = where % ring.length;
  const [a, b] = [ring[at], ring[(at + 1) % ring.length]];
  const middle: Spot = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const far = ring[(at + Math.floor(ring.length / 2)) % ring.length];
  switch (kind) {
    case 'repeat':
      return ring.toSpliced(at, 0, a, a);
    case 'nearly-repeat':
      return ring.toSpliced(at + 1, 0, [a[0] + 1e-9, a[1] - 1e-9], [a[0] - 3e-7, a[1]]);
    case 'spike':
      return ring.toSpliced(at + 1, 0, middle, [middle[0] + 1.5, middle[1] + 2], middle);
    case 'sliver':
      return ring.toSpliced(at + 1, 0, middle, [middle[0] + 1.5, middle[1] + 2], [middle[0] + 2e-4, middle[1]]);
    case 'touch':
      return ring.toSpliced(at + 1, 0, middle, far, [middle[0] + 0.01, middle[1] + 0.01]);
    case 'pinch':
      return ring.toSpliced(at, 1, far);
    case 'swap':
      return at + 1 < ring.length ? ring.toSpliced(at, 2, b, a) : ring;
    case 'collinear':
      return ring.toSpliced(at + 1, 0, middle);
    case 'reverse':
      return ring.toReversed();
  }
}

/** Gardens drawn as one would wish, with everything in them. */
export const drawnGarden: fc.Arbitrary<Drawing> = fc.oneof(garden, fullGarden, partedGarden, parcelOnly);

/** Any garden at all. */
export const anyGarden: fc.Arbitrary<Drawing> = fc.oneof(
  { weight: 4, arbitrary: drawnGarden },
  { weight: 1, arbitrary: messyGarden },
);

const degrees = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: Math.round(min * 1e6), max: Math.round(max * 1e6) }).map((millionths) => millionths / 1e6);

/** Anywhere on earth; the 70th parallel and the 180th meridian more often than chance would have it. */
export const placement: fc.Arbitrary<Placement> = fc
  .tuple(
    fc.oneof(
      fc.tuple(degrees(-180, 180), degrees(-80, 84)),
      fc.tuple(fc.oneof(degrees(179.9998, 180), degrees(-180, -179.9998)), degrees(-70, 72)),
      fc.tuple(degrees(-180, 180), degrees(69, 71)),
    ),
    fc.integer({ min: 0, max: 359 }),
  )
  .map(([[lonDeg, latDeg], turnDeg]) => ({ lonDeg, latDeg, turnDeg }));

export const wording: fc.Arbitrary<Wording> = fc.record({
  featuresTurnedBy: fc.nat(12),
  ringsTurnedBy: fc.nat(90),
  ringsReversed: fc.boolean(),
});

/** Numbers that a firm may well ask for, nowhere near what is allowed at most: a 10 m offset leaves no garden to look at. */
const overrides = fc.record(
  {
    offsetsM: fc.dictionary(fc.constantFrom(...OFFSET_KEYS), metres(0, 1.5), { maxKeys: 4 }),
    reflexJoin: fc.constantFrom('round' as const, 'mitre' as const),
    chamferLegM: metres(0, 0.8),
    wireGapM: metres(0, 1.5),
    mowWidthM: metres(1.2, 4),
    driveWidthM: metres(0.3, 1.2),
    bumpHeightM: fc.option(metres(0, 1)),
    stationStraightBeforeM: metres(0, 4),
    stationStraightBehindM: metres(0, 2),
    stationCornerClearM: metres(0, 2),
    signalRangeM: metres(2, 30),
    loopMaxM: metres(30, 800),
    excludeSteep: fc.boolean(),
    slopeInsideMaxPct: fc.integer({ min: 15, max: 50 }),
    slopeAtWireMaxPct: fc.integer({ min: 5, max: 20 }),
    supplyCableMaxM: metres(1, 30),
    handMowCostMPerM2: metres(NUMBER_FIELDS.handMowCostMPerM2.min, 10),
    pegTrialSpacingM: metres(0.5, 6),
    pegSpacingM: metres(0.2, 2),
    endSpareM: metres(0, 3),
    spoolM: metres(20, 500),
    reachBeyondWireM: metres(-0.3, 0.5),
    cuttingWidthM: metres(NUMBER_FIELDS.cuttingWidthM.min, 1),
  },
  { requiredKeys: [] },
);

const ruleSet: fc.Arbitrary<Rules> = fc.constantFrom(...RULE_SETS);

/** A rule set as it stands or with some numbers of its own. */
export const anyRules: fc.Arbitrary<Rules> = fc.oneof(
  ruleSet,
  fc.tuple(ruleSet, overrides).map(([base, { offsetsM, ...numbers }]) => ({
    ...base,
    ...numbers,
    name: `${base.name} with changes`,
    offsetsM: { ...base.offsetsM, ...offsetsM },
  })),
);
