import type {
  DerivedLawn,
  EdgedPolygon,
  JoinedRoute,
  KeepOut,
  LaidLoops,
  SettingOut,
  SitedStations,
  SlopeSurvey,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { FeatureAttributes, PlaneFeature, PlaneSite, SiteKind } from '#geo-core/model/site.ts';
import type { TakeOff } from '#geo-core/model/take-off.ts';
import { type IndexedSegments, indexed, outlinesOf, type Segments, segmentsOf } from './segments.ts';

/** Radius of a tree or obstacle given as a point without one, metres. Common practice, no source. */
const POINT_RADIUS_M = 0.3;
const KEEP_OUT_KINDS: readonly SiteKind[] = ['tree', 'obstacle', 'keep-out'];

export type AuditInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly slope: SlopeSurvey | undefined;
  readonly edges: readonly EdgedPolygon[];
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
  readonly stations: SitedStations;
  readonly route: JoinedRoute;
  readonly settingOut: SettingOut;
  readonly takeOff: TakeOff;
};

/** Every segment of every route, in walking order; `group` is the index of its route. */
export type Wires = IndexedSegments & {
  /** 1 for the segments of leads; a segment that no span claims counts as boundary. */
  readonly isLead: Uint8Array;
  /** Number of the loop or lead each segment belongs to: equal ids, equal numbers. */
  readonly owner: Int32Array;
  /** Metres walked on the same loop or lead before the segment begins. */
  readonly alongM: Float64Array;
  /** By owner: metres walked in all. */
  readonly ownerLengthM: readonly number[];
};

/** What the checks look at: the plan as handed over, and indexes made of nothing else. */
export type Evidence = AuditInput & {
  readonly rules: Rules;
  /** What rounding to the grid of the site may move a wire by, metres. */
  readonly roundingM: number;
  readonly wires: Wires;
  readonly ground: IndexedSegments;
  /** Outlines of the working area. */
  readonly area: IndexedSegments;
  /** Lawn edges, each with the distance its wire must keep. */
  readonly lawnEdges: Segments & { readonly offsetM: Float64Array };
  /** Outlines of every keep-out that gets wire, with the distance to keep; 0 where it is round and measured as such. */
  readonly keepOutEdges: IndexedSegments & { readonly offsetM: Float64Array };
  /** Round keep-outs that get wire. */
  readonly discs: readonly {
    readonly x: number;
    readonly y: number;
    readonly radiusM: number;
    readonly offsetM: number;
  }[];
  readonly noWire: IndexedSegments;
};

export function gatherEvidence(input: AuditInput, rules: Rules): Evidence {
  const rings = input.edges.flatMap((polygon) => [polygon.outer, ...polygon.holes]);
  const lawnEdges = segmentsOf(
    rings.map((ring) => ring.ring),
    true,
  );
  const beyond = rings.flatMap((ring) => ring.beyond);
  const keepOuts = wiredKeepOuts(input, rules);
  const keepOutRings = keepOuts.flatMap((keepOut) => outlinesOf(keepOut.polygons).map((ring) => ({ ring, keepOut })));
  const keepOutEdges = segmentsOf(
    keepOutRings.map(({ ring }) => ring),
    true,
  );
  return {
    ...input,
    rules,
    roundingM: Math.max(1e-4, 2 * input.site.gridM),
    wires: gatherWires(input.route),
    ground: indexed(segmentsOf(outlinesOf(input.lawn.ground), true)),
    area: indexed(segmentsOf(outlinesOf(input.loops.workingArea), true)),
    lawnEdges: { ...lawnEdges, offsetM: Float64Array.from(beyond, (each) => rules.offsetsM[each]) },
    keepOutEdges: Object.assign(indexed(keepOutEdges), {
      offsetM: Float64Array.from(keepOutEdges.group, (ring) => straightOffsetM(keepOutRings[ring].keepOut)),
    }),
    discs: keepOuts.flatMap(({ discs, offsetM }) => discs.map((disc) => ({ ...disc, offsetM }))),
    noWire: indexed(segmentsOf(outlinesOf(input.lawn.noWire), true)),
  };
}

function straightOffsetM({ discs, offsetM }: Wired): number {
  return discs.length > 0 ? 0 : offsetM;
}

type Wired = Pick<KeepOut, 'polygons' | 'discs' | 'offsetM'>;

/** Everything the machine must be kept away from by wire: what the site gives, and steep ground where the rules say so. */
function wiredKeepOuts({ site, lawn, loops, slope }: AuditInput, rules: Rules): Wired[] {
  const { keepOut: offsetM } = rules.offsetsM;
  const bumped = new Set(loops.bumped);
  const known = new Set(lawn.keepOuts.map(({ feature }) => feature.pointer));
  const forgotten = site.features.filter(({ kind, pointer }) => KEEP_OUT_KINDS.includes(kind) && !known.has(pointer));
  return [
    ...lawn.keepOuts.filter(({ id, feature }) => !(bumped.has(id) && mayBeBumped(feature, rules))),
    ...forgotten.map((feature) => ({ ...shapeOf(feature), offsetM })),
    ...(rules.excludeSteep ? (slope?.steep ?? []) : []).map((polygon) => ({ polygons: [polygon], discs: [], offsetM })),
  ];
}

/** As drawn, or round, with a square inside that no wire may go around the wrong way. */
function shapeOf({ shape, radiusM = POINT_RADIUS_M }: PlaneFeature): Pick<Wired, 'polygons' | 'discs'> {
  if (shape.type === 'area') return { polygons: shape.polygons, discs: [] };
  const points = shape.type === 'point' && radiusM > 0 ? shape.points : [];
  const square = ({ x, y }: PlanePoint): Ring =>
    Float64Array.of(
      x - radiusM / 2,
      y - radiusM / 2,
      x + radiusM / 2,
      y - radiusM / 2,
      x + radiusM / 2,
      y + radiusM / 2,
      x - radiusM / 2,
      y + radiusM / 2,
    );
  return {
    polygons: points.map((point) => ({ outer: square(point), holes: [] })),
    discs: points.map(({ x, y }) => ({ x, y, radiusM })),
  };
}

/** Rigid and tall enough for the machine to notice; ground that is marked as keep-out, water, a bed or a road never is. */
function mayBeBumped({ kind, rigid, heightM = 0 }: FeatureAttributes, { bumpHeightM }: Rules): boolean {
  return (kind === 'tree' || kind === 'obstacle') && rigid === true && bumpHeightM !== null && heightM >= bumpHeightM;
}

function gatherWires({ routes }: JoinedRoute): Wires {
  const segments = segmentsOf(
    routes.map((route) => route.line),
    false,
  );
  const { count, lengthM } = segments;
  const isLead = new Uint8Array(count);
  const owner = new Int32Array(count);
  const alongM = new Float64Array(count);
  const ownerLengthM = [0];
  let first = 0;
  const numbers = new Map<string, number>();
  for (const { line, spans } of routes) {
    for (const span of spans) {
      const number = numbers.get(span.id) ?? ownerLengthM.push(0) - 1;
      numbers.set(span.id, number);
      for (let k = first + span.firstVertex; k < Math.min(first + span.lastVertex, count); k++) {
        isLead[k] = span.of === 'lead' ? 1 : 0;
        owner[k] = number;
        alongM[k] = ownerLengthM[number];
        ownerLengthM[number] += lengthM[k];
      }
    }
    first += Math.max(0, line.length / 2 - 1);
  }
  return Object.assign(indexed(segments), { isLead, owner, alongM, ownerLengthM });
}
