import { counted } from '#geo-core/model/counted.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { DerivedLawn, KeepOut } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneFeature, PlaneSite, SiteKind } from '#geo-core/model/site.ts';
import { discRing } from '#geo-core/plane/inset-contour.ts';
import { joinAcrossSeams } from '#geo-core/plane/join-across-seams.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2, polygonPerimeterM, ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf, withoutShortEdges } from '#geo-core/plane/polygons.ts';
import { stripRings } from '#geo-core/plane/strip.ts';
import { NEAR_M } from '#geo-core/reading/mend-area.ts';

export type DeriveLawnInput = { readonly site: PlaneSite };

/** What is never lawn. */
const NOT_GRASS: readonly SiteKind[] = ['building', 'paving', 'water', 'planting', 'road'];
/** What stands on lawn without ending it. */
const KEEP_OUT_KINDS: readonly SiteKind[] = ['tree', 'obstacle', 'keep-out'];
/** Width of a road or crossing drawn as a line without one, metres. Common practice, no source. */
const LINE_WIDTH_M: Partial<Record<SiteKind, number>> = { road: 4, crossing: 1.2, paving: 1.2 };
/** Radius of a tree or obstacle given as a point without one, metres. Common practice, no source. */
const POINT_RADIUS_M = 0.3;
/** A crossing drawn this far off the lawn still joins it, metres. */
const CROSSING_REACH_M = 0.02;
/** Gaps between outlines up to this are drawing noise: nothing that thin is built. Common practice, no source. */
const SEAM_M = 0.001;
/** Lawn pieces smaller than this are drawing noise, square metres. */
const LEAST_LAWN_M2 = 0.01;
const WORTH_SAYING_M2 = 0.01;

/** Parcel, lawns and what is not grass -> lawn polygons, the ground that carries wire, and what stands on it. */
export function deriveLawn({ site }: DeriveLawnInput, rules: Rules): Staged<DerivedLawn> {
  const findings: Finding[] = [];
  const { gridM } = site;
  const parts = (kinds: readonly SiteKind[]): Ring[][] =>
    site.features.filter((feature) => kinds.includes(feature.kind)).map((feature) => areaRings(feature));
  const areas = (kinds: readonly SiteKind[]): Ring[] => parts(kinds).flat();
  const parcel = withoutSeams(parts(['parcel']), 'parcels', gridM, findings);
  const given = parts(['lawn']);
  const derived = given.length === 0 && parcel.length > 0;
  const whole = derived ? parcel : insideParcel(givenLawn(given, gridM, findings), parcel, gridM, findings);
  const grass = kernel().difference(whole, kernel().positiveUnion(areas(NOT_GRASS), gridM), gridM);
  if (!derived) sayOverlap(whole, grass, gridM, findings);
  const lawn = worthMowing(polygonsFromRings(grass), findings);
  const solid = kernel().positiveUnion(areas(['building', 'water']), gridM);
  const crossingRings = kernel().difference(kernel().positiveUnion(areas(['crossing']), gridM), solid, gridM);
  const crossings = polygonsFromRings(crossingRings);
  const ground = crossings.length === 0 ? lawn : joined(lawn, crossingRings, solid, gridM);
  for (const crossing of crossings) sayDeadEnd(crossing, lawn, gridM, findings);
  if (lawn.length === 0) findings.push(nothingToMow(site));
  if (derived && lawn.length > 0) findings.push(lawnDerived(lawn));
  return {
    output: {
      lawn,
      ground,
      crossings,
      keepOuts: keepOutsOf(site, rules),
      noWire: polygonsFromRings(kernel().positiveUnion(areas(['no-wire']), gridM)),
      derived,
      areaM2: totalAreaM2(lawn),
    },
    findings,
  };
}

function areaRings(feature: PlaneFeature): Ring[] {
  const { shape } = feature;
  if (shape.type === 'area') return ringsOf(shape.polygons);
  if (shape.type === 'line') {
    const widthM = feature.widthM ?? LINE_WIDTH_M[feature.kind];
    return widthM === undefined ? [] : shape.lines.flatMap((line) => stripRings(line, widthM));
  }
  return discsOf(feature).map(({ x, y, radiusM }) => discRing(x, y, radiusM));
}

function discsOf({ shape, radiusM = POINT_RADIUS_M }: PlaneFeature): KeepOut['discs'] {
  return shape.type === 'point' && radiusM > 0 ? shape.points.map(({ x, y }) => ({ x, y, radiusM })) : [];
}

function keepOutsOf(site: PlaneSite, rules: Rules): KeepOut[] {
  return site.features
    .filter((feature) => KEEP_OUT_KINDS.includes(feature.kind))
    .map(({ shape, ...feature }, i) => ({
      id: `keep-out-${i + 1}`,
      feature,
      polygons: polygonsFromRings(kernel().positiveUnion(areaRings({ ...feature, shape }), site.gridM)),
      discs: discsOf({ ...feature, shape }),
      offsetM: rules.offsetsM.keepOut,
    }));
}

/** Parts as one ground, the gaps between them closed. */
function withoutSeams(parts: readonly Ring[][], what: string, gridM: number, findings: Finding[]): Ring[] {
  const whole = joinAcrossSeams(parts, SEAM_M, gridM);
  if (parts.length < 2) return whole;
  const plain = kernel().positiveUnion(parts.flat(), gridM);
  const closedM2 = sumM2(whole) - sumM2(plain);
  if (closedM2 <= WORTH_SAYING_M2 / 100 && whole.length === plain.length) return whole;
  const [seam = whole[0]] = kernel().difference(whole, plain, gridM);
  findings.push({
    code: 'derive-lawn.seams-closed',
    severity: 'note',
    message: `Gaps of less than ${1000 * SEAM_M} mm between ${what} are closed, ${closedM2.toFixed(4)} m² in all.`,
    advice: 'Nothing to do, if these outlines are meant to meet.',
    value: closedM2,
    limit: 0,
    unit: 'm²',
    at: { x: seam[0], y: seam[1] },
  });
  return whole;
}

/** Drops what is too small or too thin to be more than drawing noise. */
function worthMowing(polygons: readonly Polygon[], findings: Finding[]): Polygon[] {
  const isLawn = (polygon: Polygon): boolean =>
    polygonAreaM2(polygon) >= Math.max(LEAST_LAWN_M2, (SEAM_M / 2) * polygonPerimeterM(polygon));
  const scraps = polygons.filter((polygon) => !isLawn(polygon));
  const scrapsM2 = totalAreaM2(scraps);
  if (scrapsM2 > WORTH_SAYING_M2 / 100) {
    const [{ outer }] = scraps;
    findings.push({
      code: 'derive-lawn.scraps',
      severity: 'note',
      message: `${counted(scraps.length, 'scrap')} of lawn, ${scrapsM2.toFixed(4)} m² in all, left out: nothing to mow there.`,
      advice: 'Check the outline if lawn was meant to be there.',
      value: scrapsM2,
      limit: LEAST_LAWN_M2,
      unit: 'm²',
      at: { x: outer[0], y: outer[1] },
    });
  }
  return polygons.filter(isLawn).map((polygon) => withoutShortEdges(polygon, NEAR_M));
}

function givenLawn(parts: readonly Ring[][], gridM: number, findings: Finding[]): Ring[] {
  const union = withoutSeams(parts, 'lawns', gridM, findings);
  const rings = parts.flat();
  const twiceM2 = sumM2(rings) - sumM2(union);
  if (twiceM2 > WORTH_SAYING_M2) {
    const [twice = union[0]] = kernel().difference(union, kernel().evenOdd(rings, gridM), gridM);
    findings.push({
      code: 'derive-lawn.lawns-overlap',
      severity: 'note',
      message: `Lawns overlap by ${twiceM2.toFixed(2)} m²; the overlap counts once.`,
      advice: 'Check the outlines if the areas matter for the price.',
      value: twiceM2,
      limit: 0,
      unit: 'm²',
      at: { x: twice[0], y: twice[1] },
    });
  }
  return union;
}

function insideParcel(lawn: Ring[], parcel: readonly Ring[], gridM: number, findings: Finding[]): Ring[] {
  if (parcel.length === 0 || lawn.length === 0) return lawn;
  const inside = kernel().intersection(lawn, parcel, gridM);
  const outsideM2 = sumM2(lawn) - sumM2(inside);
  if (outsideM2 > WORTH_SAYING_M2) {
    const [outside = lawn[0]] = kernel().difference(lawn, parcel, gridM);
    findings.push({
      code: 'derive-lawn.beyond-parcel',
      severity: 'caution',
      message: `${outsideM2.toFixed(2)} m² of lawn lie outside the parcel and are left out.`,
      advice: 'Check the property line: no wire may be laid on a neighbour’s ground.',
      value: outsideM2,
      limit: 0,
      unit: 'm²',
      at: { x: outside[0], y: outside[1] },
    });
  }
  return inside;
}

function sayOverlap(whole: readonly Ring[], grass: readonly Ring[], gridM: number, findings: Finding[]): void {
  const takenM2 = sumM2(whole) - sumM2(grass);
  if (takenM2 <= WORTH_SAYING_M2) return;
  const [taken = whole[0]] = kernel().difference(whole, grass, gridM);
  findings.push({
    code: 'derive-lawn.not-grass',
    severity: 'note',
    message: `${takenM2.toFixed(2)} m² of the given lawn lie under buildings, paving, water, planting or road and are left out.`,
    advice: 'Check the outlines; what is not grass is never planned as lawn.',
    value: takenM2,
    limit: 0,
    unit: 'm²',
    at: { x: taken[0], y: taken[1] },
  });
}

/** Lawn and crossings as one ground; crossings are grown a little so that a hair's breadth of drawing error does not part them. */
function joined(
  lawn: readonly Polygon[],
  crossings: readonly Ring[],
  solid: readonly Ring[],
  gridM: number,
): Polygon[] {
  const grown = kernel().difference(kernel().offset(crossings, CROSSING_REACH_M, gridM), solid, gridM);
  const ground = polygonsFromRings(kernel().positiveUnion([...ringsOf(lawn), ...grown], gridM));
  const holdsLawn = (polygon: Polygon): boolean =>
    kernel().intersection(ringsOf([polygon]), ringsOf(lawn), gridM).length > 0;
  return ground.filter((polygon) => polygonAreaM2(polygon) >= LEAST_LAWN_M2 && holdsLawn(polygon));
}

/** A crossing joins two pieces of lawn, or two sides of one: what ends elsewhere would carry the machine off the lawn. */
function sayDeadEnd(crossing: Polygon, lawn: readonly Polygon[], gridM: number, findings: Finding[]): void {
  const grass = ringsOf(lawn);
  const [end] = polygonsFromRings(kernel().difference(ringsOf([crossing]), grass, gridM)).filter(
    (part) => polygonAreaM2(part) > WORTH_SAYING_M2,
  );
  if (end === undefined) return;
  const grown = kernel().offset(ringsOf([crossing]), CROSSING_REACH_M, gridM);
  const contacts = polygonsFromRings(kernel().intersection(grown, grass, gridM)).length;
  if (contacts > 1) return;
  findings.push({
    code: 'derive-lawn.crossing-dead-end',
    severity: 'caution',
    message: `A crossing of ${polygonAreaM2(crossing).toFixed(2)} m² touches lawn ${contacts === 0 ? 'nowhere' : 'at one end only'}; it joins nothing.`,
    advice: 'Draw it from lawn to lawn, or leave it out: off the lawn a machine meets people, cars and kerbs.',
    value: contacts,
    limit: 2,
    unit: 'ends',
    at: { x: end.outer[0], y: end.outer[1] },
  });
}

function sumM2(rings: readonly Ring[]): number {
  return rings.reduce((area, ring) => area + ringAreaM2(ring), 0);
}

function nothingToMow(site: PlaneSite): Finding {
  const hasGround = site.features.some((feature) => feature.kind === 'lawn' || feature.kind === 'parcel');
  return {
    code: 'derive-lawn.nothing-to-mow',
    severity: 'stop',
    message: hasGround
      ? 'No grass is left: what is given as lawn or parcel goes around no ground, or all of it is built on, paved, planted or water.'
      : 'The site has neither a lawn nor a parcel with ground in it.',
    advice: hasGround ? 'Check the outlines of lawn and parcel.' : 'Draw the lawn, or the parcel with its buildings.',
  };
}

function lawnDerived(lawn: readonly Polygon[]): Finding {
  const areaM2 = totalAreaM2(lawn);
  return {
    code: 'derive-lawn.derived',
    severity: 'note',
    message: `No lawn was given: ${areaM2.toFixed(0)} m² are taken as lawn, the parcel without what is known not to be grass.`,
    advice:
      'Draw the real lawn before ordering: terraces, beds and paths that are not in the data count as grass here.',
    value: areaM2,
    unit: 'm²',
  };
}
