import type { LayerSpecification, StyleSpecification } from 'maplibre-gl';
import type { StageId } from '#geo-core/index.ts';
import type { DrawnSheet } from '../drawing.ts';
import type { Ink } from '../ink.ts';
import { DEPTHS, type SheetLayer } from '../layers/sheet.ts';
import { SHEETS, STAGES } from '../layers/sheets.ts';
import { asGeoJson } from './as-geojson.ts';

/** Sources beside those of the sheets: what the person touches, the place of a finding, and the wire before the last re-plan. */
export const TOUCHED = 'touched';
export const PLACE = 'place';
export const BEFORE = 'before';
export const BEFORE_LINE = 'before-line';

export type SourceName = StageId | typeof TOUCHED | typeof PLACE | typeof BEFORE;

const NOTHING: DrawnSheet = { type: 'FeatureCollection', features: [] };

/** Kinds that the accent leaves alone: their text or mark says enough. */
const UNTOUCHED = [
  'tick',
  'grid-cross',
  'name',
  'zone-name',
  'passage-figure',
  'passage-arrow',
  'offset-figure',
  'lawn',
  'field-band',
  'visit-band',
];

/**
 * The whole style: no network, no glyphs, no sprites. Tiles of the sources are cut at zoom 18, where one unit is about a
 * centimetre, and never simplified.
 */
export function sheetStyle(
  ink: Ink,
  data: Readonly<Partial<Record<SourceName, DrawnSheet>>>,
  stepIndex: number,
): StyleSpecification {
  const names: readonly SourceName[] = [...STAGES, TOUCHED, PLACE, BEFORE];
  return {
    version: 8,
    sources: Object.fromEntries(
      names.map((name) => [
        name,
        { type: 'geojson', data: asGeoJson(data[name] ?? NOTHING), maxzoom: 18, tolerance: 0 },
      ]),
    ),
    layers: [
      { id: 'paper', type: 'background', paint: { 'background-color': ink.paper } },
      ...sheetLayers(ink).map(
        ({ stage, layer, onlyAtItsStep }): LayerSpecification => ({
          ...layer,
          source: stage,
          layout: { ...layer.layout, visibility: isVisible(stage, onlyAtItsStep, stepIndex) ? 'visible' : 'none' },
        }),
      ),
      ...touchLayers(ink),
    ],
  };
}

type StagedLayer = SheetLayer & { readonly stage: StageId };

/** Every sheet's layers in draw order: by depth, then by stage. */
export function sheetLayers(ink: Ink): readonly StagedLayer[] {
  const layers = SHEETS.flatMap(({ stage, layers }) => layers(ink).map((layer) => ({ ...layer, stage })));
  return DEPTHS.flatMap((depth) => layers.filter((layer) => layer.depth === depth));
}

export function isVisible(stage: StageId, onlyAtItsStep: true | undefined, stepIndex: number): boolean {
  const index = STAGES.indexOf(stage);
  return onlyAtItsStep ? index === stepIndex : index <= stepIndex;
}

function touchLayers(ink: Ink): LayerSpecification[] {
  return [
    {
      id: BEFORE_LINE,
      type: 'line',
      source: BEFORE,
      layout: { 'line-join': 'round' },
      paint: {
        'line-color': ink.soft,
        'line-width': 2,
        'line-dasharray': [2, 2],
        'line-opacity': 0,
      },
    },
    {
      id: 'touched-line',
      type: 'line',
      source: TOUCHED,
      filter: ['all', ['!=', ['geometry-type'], 'Point'], ['!', ['in', ['get', 'kind'], ['literal', UNTOUCHED]]]],
      layout: { 'line-join': 'round', 'line-cap': 'round' },
      paint: { 'line-color': ink.accent, 'line-width': 2.2 },
    },
    {
      id: 'touched-point',
      type: 'circle',
      source: TOUCHED,
      filter: ['all', ['==', ['geometry-type'], 'Point'], ['!', ['in', ['get', 'kind'], ['literal', UNTOUCHED]]]],
      paint: {
        'circle-radius': ['match', ['get', 'kind'], ['peg'], 2.5, 9],
        'circle-color': 'transparent',
        'circle-stroke-color': ink.accent,
        'circle-stroke-width': 2,
      },
    },
    {
      id: 'place-mark',
      type: 'symbol',
      source: PLACE,
      layout: { 'icon-image': 'mark-place', 'icon-allow-overlap': true, 'icon-ignore-placement': true },
    },
  ];
}
