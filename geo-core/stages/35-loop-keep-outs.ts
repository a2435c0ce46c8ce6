import { arrangeGround } from '#geo-core/arranging/arrange-ground.ts';
import { drivableAreas } from '#geo-core/arranging/drivable-areas.ts';
import { groundTaken } from '#geo-core/arranging/ground-taken.ts';
import { keepOutOutlines } from '#geo-core/arranging/keep-out-outlines.ts';
import { type ArrangedPart, layLoops } from '#geo-core/arranging/lay-loops.ts';
import { type NarrowCorridor, narrowCorridors } from '#geo-core/arranging/narrow-corridors.ts';
import { arrangedOffNoWire, type LeftOut } from '#geo-core/arranging/off-no-wire.ts';
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
import type { Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { polygonAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { reversedRing } from '#geo-core/plane/polygons.ts';

export type LoopKeepOutsInput = {
  readonly lawn: DerivedLawn;
  readonly edges: readonly EdgedPolygon[];
  readonly inset: readonly InsetPolygon[];
  readonly slope: SlopeSurvey | undefined;
  readonly gridM: number;
};

/** Corridors that are told of one by one. */
const MOST_PLACES_SAID = 8;
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
  const steep = rules.excludeSteep ? (input.slope?.steep ?? []) : [];
  const wired = [...lawn.keepOuts, ...steepKeepOuts(steep, rules)].filter((keepOut) => !mayBump(keepOut, rules));
  const bumped = lawn.keepOuts.filter((keepOut) => mayBump(keepOut, rules));
  const narrow: Polygon[] = [];
  const corridors: NarrowCorridor[] = [];
  const leftOut: LeftOut[] = [];
  const outlines = keepOutOutlines(wired, rules.reflexJoin, gridM);
  const parts = [...new Set(inset.map((polygon) => polygon.part))].map((part): ArrangedPart => {
    const ground = inset.filter((polygon) => polygon.part === part);
    const arranged = arrangedOffNoWire(lawn.noWire, (off) => {
      const around = off.length === 0 ? outlines : keepOutOutlines([...wired, ...off], rules.reflexJoin, gridM);
      const { areas, closed, left } = arrangeGround(ground, around, rules, gridM);
      const driven = drivableAreas(areas, rules, gridM);
      return { ...driven, areas: driven.areas.map((area) => ({ ...area, part })), closed, left };
    });
    leftOut.push(arranged.leftOut);
    const keptOff = [...wired, ...arranged.leftOut.keepOuts];
    const taken = groundTaken(ground, arranged.square, keptOff, gridM);
    narrow.push(...taken.narrow);
    if (taken.narrow.length + taken.bays.length > 0)
      corridors.push(...corridorsIn(input.edges[part], keptOff, arranged.square, ground.length > 1, rules, gridM));
    return { ...arranged, part, ground, keepOuts: keptOff, bays: taken.bays };
  });
  const workingArea = parts.flatMap(({ areas }) => areas);
  const { loops, bays } = layLoops(parts, input.edges, rules);
  for (const keepOut of bumped) findings.push(bumpNote(keepOut, rules));
  if (workingArea.length === 0 && lawn.lawn.length > 0) findings.push(noWorkingArea(lawn, rules));
  else if (narrow.length > 0) findings.push(narrowGround(narrow, rules));
  if (workingArea.length > 0)
    for (const corridor of corridors.slice(0, MOST_PLACES_SAID)) findings.push(narrowCorridor(corridor, rules));
  for (const each of leftOut) findings.push(...noWireNotes(each));
  findings.push(...arrangedNotes(loops, bays, rules));
  return { output: { workingArea, loops, bays, bumped: bumped.map(({ id }) => id), steep }, findings };
}

function mayBump(keepOut: KeepOut, rules: Rules): boolean {
  const { kind, rigid, heightM } = keepOut.feature;
  if (rules.bumpHeightM === null || kind === 'keep-out' || rigid !== true) return false;
  return !SOFT_KINDS.includes(kind) && heightM !== undefined && heightM >= rules.bumpHeightM;
}

function steepKeepOuts(steep: readonly Polygon[], rules: Rules): KeepOut[] {
  return steep.map((polygon, i) => ({
    id: `steep-${i + 1}`,
    feature: { kind: 'keep-out', pointer: `steep-${i + 1}` },
    polygons: [polygon],
    discs: [],
    offsetM: rules.offsetsM.keepOut,
  }));
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

/** What it costs to keep the wire off ground where nothing may be laid. */
function noWireNotes({ keepOuts, lostM2, morePieces }: LeftOut): Finding[] {
  if (keepOuts.length === 0) return [];
  const [x, y] = keepOuts[0].polygons[0].outer;
  const common = { severity: 'caution', value: lostM2, limit: 0, unit: 'm²', at: { x, y } } as const;
  const went = `The wire goes round ground where nothing may be laid; ${lostM2.toFixed(1)} m² of lawn stay outside it`;
  return morePieces > 0
    ? [
        {
          ...common,
          code: 'loop-keep-outs.no-wire-across',
          message: `${went}, and it spans what the machine needs from side to side: the working area falls into ${morePieces + 1} pieces, and a lead joins them only where lawn beside it is left.`,
          advice: 'Have a strip released for the wire, or give the far side a signal unit of its own.',
        },
      ]
    : [
        {
          ...common,
          code: 'loop-keep-outs.round-no-wire',
          message: `${went}.`,
          advice: 'Mow it by hand, or have the ground released for the wire.',
        },
      ];
}

/** One finding for each loop and bay that joins what could have had loops of their own, because that costs less. */
function arrangedNotes(loops: readonly Loop[], bays: readonly Bay[], rules: Rules): Finding[] {
  const arranged = [
    ...loops.flatMap((loop) => (loop.kind === 'keep-out' ? [loop] : [])),
    ...bays.map(({ polygon, around, arrangement }) => ({ ring: polygon.outer, around, arrangement })),
  ];
  return arranged.flatMap(({ ring, around, arrangement }): Finding[] => {
    if (arrangement.nextBestM === undefined || arrangement.kind === 'own-loop') return [];
    const { kind, wireM, costM, nextBestM } = arrangement;
    const what = kind === 'bay' ? 'is a bay of the boundary wire' : 'shares one loop';
    return [
      {
        code: `loop-keep-outs.${kind}`,
        severity: 'note',
        message:
          `What stands here ${what}: ${wireM.toFixed(2)} m of wire, ${costM.toFixed(2)} m with the lawn lost in between ` +
          `(${rules.handMowCostMPerM2} m of wire a square metre); loops of their own would cost ${nextBestM.toFixed(2)} m.`,
        advice: 'Raise the worth of lawn (handMowCostMPerM2) to keep the ground in between.',
        value: costM,
        limit: nextBestM,
        unit: 'm',
        at: { x: ring[0], y: ring[1] },
        ...(around.length > 0 && { subject: around[0] }),
      },
    ];
  });
}

/** The corridors between lawn edges and keep-outs that two wires do not fit in; those that the offsets alone close are said before. */
function corridorsIn(
  { outer, holes }: EdgedPolygon,
  keepOuts: readonly KeepOut[],
  areas: readonly Polygon[],
  isPartedBefore: boolean,
  { wireGapM }: Rules,
  gridM: number,
): NarrowCorridor[] {
  const kept = keepOuts.flatMap(({ polygons, offsetM }) =>
    polygons.map((polygon) => ({
      ring: reversedRing(polygon.outer),
      offsetsM: new Float64Array(polygon.outer.length / 2).fill(offsetM),
    })),
  );
  return narrowCorridors([outer, ...holes], kept, areas, wireGapM, gridM).filter(
    ({ parts, widthM, offsetsM }) => !(isPartedBefore && parts && widthM <= offsetsM),
  );
}

function narrowCorridor({ widthM, offsetsM, at, parts }: NarrowCorridor, { wireGapM }: Rules): Finding {
  const neededM = offsetsM + wireGapM;
  const lacksM = (neededM - widthM).toFixed(2);
  return {
    code: 'loop-keep-outs.narrow-corridor',
    severity: 'note',
    message:
      `The lawn is ${widthM.toFixed(2)} m wide here, ${lacksM} m too narrow: the offsets of its two sides take ${offsetsM.toFixed(2)} m ` +
      `and the wires must lie ${wireGapM.toFixed(2)} m apart. ${parts ? 'It parts the working area; only a lead can pass.' : 'The machine goes another way round.'}`,
    advice: `Widen it by ${lacksM} m to let the machine through, or leave it to the hand mower.`,
    value: widthM,
    limit: neededM,
    unit: 'm',
    at,
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
