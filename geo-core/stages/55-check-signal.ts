import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import { listedAreaMm2, resistancePerKmOhm, wireResistanceOhm } from '#geo-core/field/conductor.ts';
import { loopResistanceOhm } from '#geo-core/field/loop-resistance.ts';
import { supplyFigures } from '#geo-core/field/supply-figures.ts';
import { weakField } from '#geo-core/field/weak-field.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  InsetPolygon,
  JoinedRoute,
  LaidLoops,
  Loop,
  Route,
  SignalCheck,
  SitedStations,
  SupplyFigures,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM, lineLengthM, polygonAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';

export type CheckSignalInput = {
  readonly site: PlaneSite;
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
  readonly route: JoinedRoute;
  readonly stations?: Pick<SitedStations, 'supplyCable'>;
};

/** Field evaluations cost the length of the wire each: at most these many points inside, and one beside each of these many loops. */
const SPREAD_POINTS = 60;
const LOOP_POINTS = 40;
/** The point beside a loop stands this far inside: there its own wire outweighs all others, so a loop run the wrong way shows. */
const BESIDE_WIRE_M = 0.1;
/** Patches out of range smaller than this are drawing noise, square metres. */
const LEAST_WEAK_M2 = 0.01;

/** Samples stand no nearer than a few metres: the whole field is looked at where the least of them is under this many times the limit. */
const LOOK_CLOSER = 2;

/**
 * Route -> resistance at 20 degrees Celsius and warm, ground out of the signal's range or under its least field, sign and strength of
 * the field where the machine works, and what the supply cable loses. A field that points down inside the wire (a loop run the
 * wrong way) is a stop. Routes are separate signals: each ground is checked against its own wire. All limits are the rule set's: the
 * maker of the machine and a licensed electrician have the last word.
 */
export function checkSignal(input: CheckSignalInput, rules: Rules): Staged<SignalCheck> {
  const { site, loops, zones, route, stations } = input;
  const findings: Finding[] = [];
  const ohmPerKm = conductorOhmPerKm(rules, findings);
  const resistanceOhm = route.routes.map((one) => wireResistanceOhm(ohmPerKm, one.lengthM));
  const warmResistanceOhm = route.routes.map(({ lengthM }) => loopResistanceOhm(lengthM, rules));
  for (const [i, one] of route.routes.entries()) {
    if (one.lengthM > rules.loopMaxM) findings.push(loopTooLong(one, rules));
    if (warmResistanceOhm[i] > rules.loopMaxOhm) findings.push(resistanceHigh(one, warmResistanceOhm[i], rules));
  }
  const weak = groundOutOfRange(site, loops, zones, rules);
  for (const polygon of weak) findings.push(outOfRange(polygon, loops, rules));
  const wires = wireOfAreas(loops, route);
  const samples = sampleField(loops, wires);
  const reversed = samples.filter(({ fieldNt }) => fieldNt <= 0);
  if (reversed.length > 0) findings.push(signReversed(reversed.reduce(weaker), reversed.length));
  const spread = samples.filter(({ besideWire }) => !besideWire);
  const weakest = spread.length === 0 ? undefined : spread.reduce(weaker);
  const isPlain = reversed.length > 0 || weakest === undefined || weakest.fieldNt > LOOK_CLOSER * rules.fieldMinNt;
  const faint = isPlain ? [] : faintGround(site, loops, wires, rules);
  for (const polygon of faint) findings.push(fieldFaint(polygon, wires, loops, rules));
  const supply =
    stations?.supplyCable === undefined ? undefined : supplyFigures(lineLengthM(stations.supplyCable), rules);
  if (supply !== undefined && supply.dropPct > rules.supplyDropMaxPct) findings.push(supplyDrop(supply, rules));
  return {
    output: {
      resistanceOhm,
      warmResistanceOhm,
      weak,
      faint,
      ...(supply !== undefined && { supply }),
      ...(weakest !== undefined && { weakest: { fieldNt: weakest.fieldNt, at: weakest.at } }),
    },
    findings,
  };
}

/** Ground of each wire where its field is under the least: looked for only where samples come near it. */
function faintGround(site: PlaneSite, loops: LaidLoops, wires: ReadonlyMap<number, Route>, rules: Rules): Polygon[] {
  return loops.workingArea.flatMap((polygon, area) => {
    const wire = wires.get(area);
    if (wire === undefined) return [];
    return weakField(wire.line, [polygon], rules, site.gridM).filter((one) => polygonAreaM2(one) >= LEAST_WEAK_M2);
  });
}

function conductorOhmPerKm(rules: Rules, findings: Finding[]): number {
  const exact = resistancePerKmOhm(rules.conductorClass, rules.conductorMm2);
  if (exact !== undefined) return exact;
  const listedMm2 = listedAreaMm2(rules.conductorMm2) ?? 0.5;
  findings.push({
    code: 'check-signal.cross-section-not-listed',
    severity: 'note',
    message: `IEC 60228 lists no wire of ${rules.conductorMm2} mm²; its resistance is taken as that of ${listedMm2} mm².`,
    advice: 'Give the cross-section that is printed on the wire.',
    value: rules.conductorMm2,
    limit: listedMm2,
    unit: 'mm²',
  });
  return resistancePerKmOhm(rules.conductorClass, listedMm2) ?? Number.NaN;
}

/**
 * Working area farther than the range from every wire: the working area shrunk by the range. Exact, because its rings are the wires
 * that count, and the way from a point inside to any other wire crosses one of them. Leads cancel and do not count. Where the
 * widest circle of every zone is in range, so is all ground.
 */
function groundOutOfRange(site: PlaneSite, loops: LaidLoops, zones: ZonedArea, rules: Rules): Polygon[] {
  const wide = new Set(zones.zones.filter((zone) => zone.widestRadiusM > rules.signalRangeM).map((zone) => zone.area));
  if (wide.size === 0) return [];
  const rings = ringsOf(loops.workingArea.filter((_, area) => wide.has(area)));
  const shrunk = kernel().offset(rings, -rules.signalRangeM, site.gridM);
  return polygonsFromRings(shrunk).filter((polygon) => polygonAreaM2(polygon) >= LEAST_WEAK_M2);
}

type FieldSample = { readonly fieldNt: number; readonly at: PlanePoint; readonly besideWire: boolean };

function sampleField(loops: LaidLoops, routeOfArea: ReadonlyMap<number, Route>): FieldSample[] {
  const samples: FieldSample[] = [];
  const measure = (area: number, points: readonly PlanePoint[], besideWire: boolean): void => {
    const route = routeOfArea.get(area);
    if (route === undefined) return;
    for (const at of points) samples.push({ fieldNt: verticalFieldNt(route.line, at.x, at.y), at, besideWire });
  };
  const wholeM2 = totalAreaM2(loops.workingArea);
  const largestFirst = loops.workingArea
    .map((polygon, area) => ({ polygon, area, areaM2: polygonAreaM2(polygon) }))
    .toSorted((a, b) => b.areaM2 - a.areaM2 || a.area - b.area);
  let left = SPREAD_POINTS;
  for (const { polygon, area, areaM2 } of largestFirst) {
    const points = interiorPoints(polygon, Math.min(left, Math.max(1, Math.round((SPREAD_POINTS * areaM2) / wholeM2))));
    left -= points.length;
    measure(area, points, false);
  }
  for (const loop of longestFirst(loops.loops).slice(0, LOOP_POINTS)) {
    measure(loop.area, besideLongestEdge(loop, loops.workingArea[loop.area]), true);
  }
  return samples.filter(({ fieldNt }) => !Number.isNaN(fieldNt));
}

/** The route that runs along the boundary of each area. */
function wireOfAreas(loops: LaidLoops, joined: JoinedRoute): Map<number, Route> {
  const areaOfLoop = new Map(loops.loops.map((loop) => [loop.id, loop.area]));
  const wires = new Map<number, Route>();
  for (const route of joined.routes) {
    for (const span of route.spans) {
      const area = span.of === 'lead' ? undefined : areaOfLoop.get(span.id);
      if (area !== undefined) wires.set(area, route);
    }
  }
  return wires;
}

function longestFirst(loops: readonly Loop[]): Loop[] {
  return loops.toSorted((a, b) => b.lengthM - a.lengthM);
}

function besideLongestEdge({ ring }: Loop, area: InsetPolygon | undefined): PlanePoint[] {
  let longestM = 0;
  let beside: PlanePoint | undefined;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    const edgeM = distanceM(ring[j], ring[j + 1], ring[i], ring[i + 1]);
    if (edgeM <= longestM) continue;
    longestM = edgeM;
    beside = {
      x: (ring[j] + ring[i]) / 2 - (BESIDE_WIRE_M * (ring[i + 1] - ring[j + 1])) / edgeM,
      y: (ring[j + 1] + ring[i + 1]) / 2 + (BESIDE_WIRE_M * (ring[i] - ring[j])) / edgeM,
    };
  }
  return beside !== undefined && area !== undefined && pointInPolygon(area, beside.x, beside.y) ? [beside] : [];
}

function weaker<Sample extends { readonly fieldNt: number }>(a: Sample, b: Sample): Sample {
  return b.fieldNt < a.fieldNt ? b : a;
}

function loopTooLong(route: Route, rules: Rules): Finding {
  return {
    code: 'check-signal.loop-too-long',
    severity: 'caution',
    message: `The wire of signal unit ${route.signalUnit} is ${route.lengthM.toFixed(1)} m long, more than the ${rules.loopMaxM} m one unit drives.`,
    advice: 'Check the longest loop in the machine’s manual; give part of the ground a signal unit of its own.',
    value: route.lengthM,
    limit: rules.loopMaxM,
    unit: 'm',
    at: { x: route.line[0], y: route.line[1] },
    subject: route.id,
  };
}

function resistanceHigh(route: Route, ohm: number, rules: Rules): Finding {
  return {
    code: 'check-signal.resistance-high',
    severity: 'caution',
    message: `The wire of signal unit ${route.signalUnit} has ${ohm.toFixed(2)} Ω at ${rules.wireTemperatureC} °C with its splices, more than the ${rules.loopMaxOhm} Ω one unit drives.`,
    advice: 'Take a thicker wire or part the ground between two signal units, and ask the supplier for the limit.',
    value: ohm,
    limit: rules.loopMaxOhm,
    unit: 'Ω',
    at: { x: route.line[0], y: route.line[1] },
    subject: route.id,
  };
}

function fieldFaint(polygon: Polygon, wires: ReadonlyMap<number, Route>, loops: LaidLoops, rules: Rules): Finding {
  const [at] = interiorPoints(polygon, 1);
  const area = at === undefined ? -1 : loops.workingArea.findIndex((one) => pointInPolygon(one, at.x, at.y));
  const wire = wires.get(area);
  const fieldNt =
    at === undefined || wire === undefined
      ? rules.fieldMinNt
      : verticalFieldNt(wire.line, at.x, at.y, rules.sensorHeightM);
  return {
    code: 'check-signal.field-faint',
    severity: 'caution',
    message: `On ${polygonAreaM2(polygon).toFixed(1)} m² of the working area the field is under ${rules.fieldMinNt} nT for each ampere; in their middle it is ${fieldNt.toFixed(1)} nT.`,
    advice: 'Ask the supplier what the machine hears, or lead a wire into the open ground.',
    value: fieldNt,
    limit: rules.fieldMinNt,
    unit: 'nT',
    ...(at === undefined ? {} : { at }),
  };
}

function supplyDrop(supply: SupplyFigures, rules: Rules): Finding {
  const { cableM, areaMm2, dropPct, leastMm2, leastAwg } = supply;
  const enough = leastMm2 === undefined ? 'No listed cross-section keeps within it' : `${leastMm2} mm² keeps within it`;
  const gauge = leastAwg === undefined ? '' : ` (AWG ${leastAwg})`;
  return {
    code: 'check-signal.supply-drop',
    severity: 'caution',
    message: `The supply cable of ${cableM.toFixed(1)} m and ${areaMm2} mm² loses ${dropPct.toFixed(1)} % of the voltage, more than ${rules.supplyDropMaxPct} %.`,
    advice: `${enough}${gauge}; let the supplier and a licensed electrician confirm it.`,
    value: dropPct,
    limit: rules.supplyDropMaxPct,
    unit: '%',
    subject: 'supply-cable',
  };
}

function outOfRange(polygon: Polygon, loops: LaidLoops, rules: Rules): Finding {
  const [at] = interiorPoints(polygon, 1);
  const distance = at === undefined ? rules.signalRangeM : nearestWireM(at, loops);
  return {
    code: 'check-signal.out-of-range',
    severity: 'caution',
    message: `${polygonAreaM2(polygon).toFixed(1)} m² of the working area lie farther than ${rules.signalRangeM} m from every wire; in their middle the nearest wire is ${distance.toFixed(1)} m away.`,
    advice: 'Check the range in the machine’s manual, or lead a wire into the open ground.',
    value: distance,
    limit: rules.signalRangeM,
    unit: 'm',
    ...(at === undefined ? {} : { at }),
  };
}

function nearestWireM(at: PlanePoint, loops: LaidLoops): number {
  let nearest = Number.POSITIVE_INFINITY;
  for (const { ring } of loops.loops) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      nearest = Math.min(nearest, pointSegmentM(at.x, at.y, ring[j], ring[j + 1], ring[i], ring[i + 1]));
    }
  }
  return nearest;
}

function signReversed(worst: FieldSample, count: number): Finding {
  return {
    code: 'check-signal.sign-reversed',
    severity: 'stop',
    message: `At ${count === 1 ? 'one place' : `${count} places`} inside the wire the field points the wrong way (${worst.fieldNt.toFixed(1)} nT at 1 A): the machine would take lawn for outside.`,
    advice: 'A loop runs the wrong way round; report this plan, it must not be laid.',
    value: worst.fieldNt,
    limit: 0,
    unit: 'nT',
    at: worst.at,
  };
}
