import type {
  DerivedLawn,
  EdgedPolygon,
  JoinedRoute,
  KeepOut,
  LaidLoops,
  SettingOut,
  SitedStations,
  Span,
  TakeOff,
} from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { indexPolygons, indexSegments, type Segments, segmentLengthM } from './segments.ts';

export type AuditInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly edges: readonly EdgedPolygon[];
  readonly loops: LaidLoops;
  readonly stations: SitedStations;
  readonly route: JoinedRoute;
  readonly settingOut: SettingOut;
  readonly takeOff: TakeOff;
};

/** Every segment of every route, in walking order; `group` is the index of its route. */
export type Wires = Segments & {
  /** What each segment belongs to; a segment that no span claims counts as boundary. */
  readonly of: readonly Span['of'][];
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
  readonly ground: Segments;
  /** Lawn edges, each with the distance its wire must keep. */
  readonly lawnEdges: Segments & { readonly offsetM: Float64Array };
  /** Outlines of every keep-out that gets wire, with the distance to keep; 0 where it is round and measured as such. */
  readonly keepOutEdges: Segments & { readonly offsetM: Float64Array };
  /** Round keep-outs that get wire. */
  readonly discs: readonly {
    readonly x: number;
    readonly y: number;
    readonly radiusM: number;
    readonly offsetM: number;
  }[];
  readonly noWire: Segments;
};

export function gatherEvidence(input: AuditInput, rules: Rules): Evidence {
  const rings = input.edges.flatMap((polygon) => [polygon.outer, ...polygon.holes]);
  const lawnEdges = indexSegments(
    rings.map((ring) => ring.ring),
    true,
  );
  const keepOuts = input.lawn.keepOuts.filter((keepOut) => !input.loops.bumped.includes(keepOut.id));
  const keepOutRings = keepOuts.flatMap((keepOut) =>
    keepOut.polygons.flatMap((polygon) => [polygon.outer, ...polygon.holes].map((ring) => ({ ring, keepOut }))),
  );
  const keepOutEdges = indexSegments(
    keepOutRings.map(({ ring }) => ring),
    true,
  );
  return {
    ...input,
    rules,
    roundingM: Math.max(1e-4, 2 * input.site.gridM),
    wires: gatherWires(input.route),
    ground: indexPolygons(input.lawn.ground),
    lawnEdges: { ...lawnEdges, offsetM: Float64Array.from(rings.flatMap((ring) => [...ring.offsetsM])) },
    keepOutEdges: {
      ...keepOutEdges,
      offsetM: Float64Array.from(keepOutEdges.group, (ring) => straightOffsetM(keepOutRings[ring].keepOut)),
    },
    discs: keepOuts.flatMap(({ discs, offsetM }) => discs.map((disc) => ({ ...disc, offsetM }))),
    noWire: indexPolygons(input.lawn.noWire),
  };
}

function straightOffsetM({ discs, offsetM }: KeepOut): number {
  return discs.length > 0 ? 0 : offsetM;
}

function gatherWires({ routes }: JoinedRoute): Wires {
  const segments = indexSegments(
    routes.map((route) => route.line),
    false,
  );
  const of: Span['of'][] = new Array<Span['of']>(segments.count).fill('boundary');
  const owner = new Int32Array(segments.count);
  const alongM = new Float64Array(segments.count);
  const ownerLengthM = [0];
  const numbers = new Map<string, number>();
  let first = 0;
  for (const route of routes) {
    for (const span of route.spans) {
      const number = numbers.get(span.id) ?? ownerLengthM.push(0) - 1;
      numbers.set(span.id, number);
      for (let k = first + span.firstVertex; k < Math.min(first + span.lastVertex, segments.count); k++) {
        of[k] = span.of;
        owner[k] = number;
        alongM[k] = ownerLengthM[number];
        ownerLengthM[number] += segmentLengthM(segments, k);
      }
    }
    first += Math.max(0, route.line.length / 2 - 1);
  }
  return { ...segments, of, owner, alongM, ownerLengthM };
}
