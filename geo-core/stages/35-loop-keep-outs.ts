import { groundTaken } from '#geo-core/arranging/ground-taken.ts';
import { type KeepOutOutlines, keepOutOutlines } from '#geo-core/arranging/keep-out-outlines.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  Bay,
  DerivedLawn,
  EdgedPolygon,
  InsetPolygon,
  KeepOut,
  LaidLoops,
  Loop,
  SlopeSurvey,
} from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { drivableCorners } from '#geo-core/plane/drivable-corners.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2, ringLengthM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { withoutNarrowPlaces } from '#geo-core/plane/narrow-places.ts';
import { pointInRing, polygonsFromRings, ringsOf, withoutShortEdges } from '#geo-core/plane/polygons.ts';
import { standingApart } from '#geo-core/plane/standing-apart.ts';

export type LoopKeepOutsInput = {
  readonly lawn: DerivedLawn;
  readonly edges: readonly EdgedPolygon[];
  readonly inset: readonly InsetPolygon[];
  readonly slope: SlopeSurvey | undefined;
  readonly gridM: number;
};

/** Stretches of wire shorter than this are where arcs meet, metres. */
const SHORTEST_WIRE_M = 0.000_05;
/** Pieces of working area smaller than this hold no machine, square metres. */
const LEAST_AREA_M2 = 0.25;
/** What may never be bumped, however tall. */
const SOFT_KINDS: readonly string[] = ['planting', 'water', 'tree'];

/**
 * Ground inside the boundary wire and keep-outs -> working area and the loops that bound it. Keep-outs are taken out of the
 * ground with their distance, then everything too narrow for two wires; what remains says by itself which keep-outs share a
 * loop, which became a bay of the boundary wire, and where a lawn is parted. Sharp corners are made drivable last.
 */
export function loopKeepOuts(input: LoopKeepOutsInput, rules: Rules): Staged<LaidLoops> {
  const { lawn, inset, gridM } = input;
  const findings: Finding[] = [];
  const wired = [...lawn.keepOuts, ...steepKeepOuts(input, rules)].filter((keepOut) => !mayBump(keepOut, rules));
  const bumped = lawn.keepOuts.filter((keepOut) => mayBump(keepOut, rules));
  const parts = [...new Set(inset.map((polygon) => polygon.part))];
  const workingArea: InsetPolygon[] = [];
  const bays: Bay[] = [];
  const narrow: Polygon[] = [];
  const outlines = keepOutOutlines(wired, rules.reflexJoin, gridM);
  for (const part of parts) {
    const ground = inset.filter((polygon) => polygon.part === part);
    const areas = openAreas(ringsOf(ground), outlines, rules, gridM);
    for (const area of areas) workingArea.push({ ...drivable(area, rules.chamferLegM), part });
    const taken = groundTaken(ground, areas, wired, gridM);
    bays.push(...taken.bays.map((bay, i) => ({ ...bay, id: `bay-${bays.length + i + 1}` })));
    narrow.push(...taken.narrow);
  }
  const loops = loopsOf(workingArea, wired, input.edges);
  for (const keepOut of bumped) findings.push(bumpNote(keepOut, rules));
  if (workingArea.length === 0 && lawn.lawn.length > 0) findings.push(noWorkingArea(lawn, rules));
  else if (narrow.length > 0) findings.push(narrowGround(narrow, rules));
  return { output: { workingArea, loops, bays, bumped: bumped.map(({ id }) => id) }, findings };
}

function mayBump(keepOut: KeepOut, rules: Rules): boolean {
  const { kind, rigid, heightM } = keepOut.feature;
  if (rules.bumpHeightM === null || kind === 'keep-out' || rigid !== true) return false;
  return !SOFT_KINDS.includes(kind) && heightM !== undefined && heightM >= rules.bumpHeightM;
}

function steepKeepOuts({ slope }: LoopKeepOutsInput, rules: Rules): KeepOut[] {
  if (!rules.excludeSteep || slope === undefined) return [];
  return slope.steep.map((polygon, i) => ({
    id: `steep-${i + 1}`,
    feature: { kind: 'keep-out', pointer: `steep-${i + 1}` },
    polygons: [polygon],
    discs: [],
    offsetM: rules.offsetsM.keepOut,
  }));
}

/**
 * Keep-outs that stand apart are holes as they are. The others are taken out in one positive-fill sweep (ground counts once, every
 * grown keep-out takes at least one away), and then whatever is too narrow for two wires.
 */
function openAreas(ground: readonly Ring[], { simple, raw }: KeepOutOutlines, rules: Rules, gridM: number): Polygon[] {
  const { apart, near } = standingApart(ground, simple, rules.wireGapM);
  const swept = near.length + raw.length === 0 ? ground : kernel().positiveUnion([...ground, ...near, ...raw], gridM);
  const open = withoutNarrowPlaces(swept, rules.wireGapM, gridM);
  return polygonsFromRings([...open, ...apart]).filter((polygon) => polygonAreaM2(polygon) >= LEAST_AREA_M2);
}

function drivable(polygon: Polygon, legM: number): Polygon {
  const { outer, holes } = withoutShortEdges(polygon, SHORTEST_WIRE_M);
  return { outer: drivableCorners(outer, legM), holes: holes.map((hole) => drivableCorners(hole, legM)) };
}

/** Every outer ring of the working area is a boundary loop, every hole a keep-out loop. */
function loopsOf(
  workingArea: readonly InsetPolygon[],
  keepOuts: readonly KeepOut[],
  edges: readonly EdgedPolygon[],
): Loop[] {
  const loops: Loop[] = [];
  let [boundaries, keepOutLoops] = [0, 0];
  workingArea.forEach(({ outer, holes, part }, area) => {
    const common = { area, part };
    loops.push({
      ...common,
      id: `boundary-${++boundaries}`,
      kind: 'boundary',
      ring: outer,
      lengthM: ringLengthM(outer),
      around: [],
    });
    for (const hole of holes) {
      const kept = keepOuts
        .filter(({ polygons }) => polygons.some((polygon) => pointInRing(hole, polygon.outer[0], polygon.outer[1])))
        .map(({ feature }) => feature.pointer);
      const built = edges[part].holes
        .filter(({ ring }) => pointInRing(hole, ring[0], ring[1]))
        .flatMap(({ from }) => from.filter((pointer) => pointer !== 'unknown'));
      loops.push({
        ...common,
        id: `keep-out-loop-${++keepOutLoops}`,
        kind: 'keep-out',
        ring: hole,
        lengthM: ringLengthM(hole),
        around: [...new Set([...kept, ...built])],
      });
    }
  });
  return loops;
}

function bumpNote({ feature }: KeepOut, rules: Rules): Finding {
  return {
    code: 'loop-keep-outs.bumped',
    severity: 'note',
    message: `The ${feature.kind} is rigid and ${feature.heightM?.toFixed(2)} m tall: the machine may bump it, it gets no loop.`,
    advice: 'Check that nothing on it is fragile and that it stands firmly; else make it a keep-out.',
    value: feature.heightM ?? 0,
    limit: rules.bumpHeightM ?? 0,
    unit: 'm',
    subject: feature.pointer,
  };
}

/** One finding for all such places, at the largest. */
function narrowGround(places: readonly Polygon[], rules: Rules): Finding {
  const areasM2 = places.map(polygonAreaM2);
  const largestM2 = Math.max(...areasM2);
  const [x, y] = places[areasM2.indexOf(largestM2)].outer;
  const areaM2 = totalAreaM2(places);
  return {
    code: 'loop-keep-outs.narrow-ground',
    severity: 'note',
    message:
      `${areaM2.toFixed(2)} m² of lawn${places.length === 1 ? '' : ` in ${places.length} places (the largest has ${largestM2.toFixed(2)} m²)`} ` +
      `are too narrow for two wires ${rules.wireGapM.toFixed(2)} m apart and stay outside the wire.`,
    advice: 'Mow it by hand, or widen it by moving what stands beside it.',
    value: areaM2,
    limit: 0,
    unit: 'm²',
    at: { x, y },
  };
}

function noWorkingArea({ areaM2, lawn }: DerivedLawn, rules: Rules): Finding {
  return {
    code: 'loop-keep-outs.no-working-area',
    severity: 'stop',
    message: `Nowhere are the ${areaM2.toFixed(1)} m² of lawn wide enough for a wire on both sides and ${rules.wireGapM.toFixed(2)} m between them: there is no ground for the machine.`,
    advice:
      "Mow it by hand, or check what lies beyond its edges: the machine's manual may allow smaller distances there.",
    value: 0,
    limit: rules.wireGapM,
    unit: 'm',
    at: { x: lawn[0].outer[0], y: lawn[0].outer[1] },
  };
}
