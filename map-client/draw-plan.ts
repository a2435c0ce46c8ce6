import { localPlaneProjection, type StageId } from '#geo-core/index.ts';
import type { Plan, PlanFeature, PlanFinding } from '#geo-core/model/plan.ts';
import type { Bounds, Drawing, DrawnFeature, DrawnSheet, LonLatPair } from './drawing.ts';
import { createFigures } from './figures.ts';
import { handOverTitles } from './hand-over-titles.ts';
import type { Material, StageOutputs } from './layers/material.ts';
import { createPen } from './layers/pen.ts';
import { SHEETS } from './layers/sheets.ts';
import type { Units } from './wording/chosen-words.ts';
import type { Words } from './wording/words.ts';

const FRAMING = ['parcel', 'building', 'outlet'] as const;

export type DrawPlanInput = {
  readonly plan: Plan;
  readonly outputs: StageOutputs;
  readonly labels: ReadonlyMap<string, string>;
  readonly fileName: string;
  readonly words: Words;
  readonly units: Units;
};

/** A plan and the outputs of its stages -> all that the page draws and writes. */
export function drawPlan({ plan, outputs, labels, fileName, words, units: chosen }: DrawPlanInput): Drawing {
  const site = outputs['10-project-site'];
  const units = chosen ?? site.units;
  const material: Material = {
    outputs,
    plan,
    findings: plan.findings,
    labels,
    pen: createPen(localPlaneProjection(site.plane)),
    figures: createFigures(words.locale, units),
    say: words.say,
  };
  const given = outputs['05-read-site'];
  const sheets = Object.fromEntries(SHEETS.map((sheet) => [sheet.stage, sheetOf(sheet, material)]));
  return {
    title: plan.name ?? fileName.replace(/\.[^.]*$/, ''),
    units,
    plan,
    findings: plan.findings.map((finding) => ({ ...finding, place: placeOf(finding, plan, given) })),
    steps: SHEETS.map(({ stage, did }) => ({ stage, did: did(material) })),
    sheets: sheets as Readonly<Record<StageId, DrawnSheet>>,
    formats: handOverTitles(words),
    bounds: boundsOf(plan, sheets['05-read-site'], sheets['15-derive-lawn']),
  };
}

function sheetOf({ kinds, draw }: (typeof SHEETS)[number], material: Material): DrawnSheet {
  const planned = material.plan.features.filter(({ properties }) => kinds.includes(properties.kind));
  return { type: 'FeatureCollection', features: [...planned.map(flatFeature), ...draw(material)] };
}

/** A plan feature with its flat properties only, and its id among them. */
function flatFeature({ id, properties, geometry }: PlanFeature): DrawnFeature {
  const flat = Object.entries(properties).filter(([, value]) => typeof value !== 'object' || value === null);
  return {
    type: 'Feature',
    properties: { ...Object.fromEntries(flat), id },
    geometry,
  };
}

function placeOf(finding: PlanFinding, plan: Plan, site: StageOutputs['05-read-site']): LonLatPair | null {
  if (finding.at !== null) return finding.at;
  if (finding.subject === null) return null;
  const feature = plan.features.find(({ id }) => id === finding.subject);
  if (feature !== undefined) return firstPosition(feature.geometry.coordinates);
  const given = site.features.find(({ pointer }) => finding.subject?.startsWith(pointer));
  if (given === undefined) return null;
  const { shape } = given;
  return firstPosition(shape.type === 'point' ? shape.points : shape.type === 'line' ? shape.lines : shape.polygons);
}

type Nested = readonly [number, number] | readonly Nested[];

function firstPosition(coordinates: Nested): LonLatPair | null {
  const [first, second] = coordinates;
  if (typeof first === 'number') return typeof second === 'number' ? [first, second] : null;
  return first === undefined ? null : firstPosition(first);
}

/** What should be in view: lawn, parcel, buildings and all that is planned; not the road beyond. */
function boundsOf(plan: Plan, given: DrawnSheet, lawn: DrawnSheet): Bounds {
  let [west, south, east, north] = [180, 90, -180, -90];
  const reach = (coordinates: Nested): void => {
    const [first, second] = coordinates;
    if (typeof first === 'number' && typeof second === 'number') {
      west = Math.min(west, first);
      east = Math.max(east, first);
      south = Math.min(south, second);
      north = Math.max(north, second);
    } else for (const part of coordinates) if (typeof part !== 'number') reach(part);
  };
  const framing = given.features.filter(({ properties }) => FRAMING.some((kind) => kind === properties.kind));
  const features = [...framing, ...lawn.features, ...plan.features];
  for (const { geometry } of features.length > framing.length ? features : given.features) reach(geometry.coordinates);
  return west <= east ? [west, south, east, north] : [-1, -1, 1, 1];
}
