import type { Map as MapLibreMap, MapMouseEvent } from 'maplibre-gl';
import {
  type GeoJSONStoreFeatures,
  TerraDraw,
  TerraDrawLineStringMode,
  TerraDrawPointMode,
  TerraDrawPolygonMode,
  TerraDrawSelectMode,
} from 'terra-draw';
import { TerraDrawMapLibreGLAdapter } from 'terra-draw-maplibre-gl-adapter';
import type { SiteGeometryInput } from '#geo-core/model/site.ts';
import type { Ink } from '../ink.ts';
import { rounded } from './positions.ts';
import { kindOf, type SiteDocument, type SiteFeature } from './site-document.ts';

/** What a person draws with: corners of an area, points of a line, one place, or nothing: then things are picked and moved. */
export type Pencil = 'area' | 'line' | 'place' | null;

export type TableEvents = {
  /** A new thing was finished with the pencil. */
  readonly drawn: (geometry: SiteGeometryInput) => void;
  /** A thing moves under the pointer; `settled` once it is let go. */
  readonly moved: (key: string, geometry: SiteGeometryInput, settled: boolean) => void;
  readonly removed: (keys: readonly string[]) => void;
  /** Somebody clicked while no pencil was in hand. */
  readonly picked: (place: readonly [number, number]) => void;
  /** What is being drawn has so many positions by now; null when the pencil is lifted. */
  readonly growing: (geometry: SiteGeometryInput | null) => void;
};

export type DrawTable = {
  /** Lays the document on the map, with one thing selected or none. */
  readonly lay: (document: SiteDocument, selected: string | null) => void;
  readonly take: (pencil: Pencil, rightAngles: boolean) => void;
  readonly stop: () => void;
};

const MODES = { area: 'polygon', line: 'linestring', place: 'point' } as const;
const PICKING = 'select';
/** Snapping and picking reach so far, CSS pixels. */
const REACH_PX = 22;
/** The click that closes a shape is not one that picks something: both come from one press. */
const FINISHING_MS = 300;

/** The drawing table over a map whose style is loaded: drawing, picking, moving, with corners that snap to what is there. */
export function createDrawTable(map: MapLibreMap, ink: Ink, events: TableEvents): DrawTable {
  let laid = new Set<string>();
  let count = 0;
  let pencil: Pencil = null;
  let finishedAtMs = Number.NEGATIVE_INFINITY;
  const table = new TerraDraw({
    adapter: new TerraDrawMapLibreGLAdapter({ map, coordinatePrecision: 9, prefixId: 'table' }),
    modes: modes(ink),
    idStrategy: { isValidId: (key) => typeof key === 'string', getId: () => `pencil-${count++}` },
  });
  table.start();
  table.setMode(PICKING);
  table.on('finish', (key, { action }) => {
    const feature = table.getSnapshotFeature(key);
    if (feature === undefined) return;
    const geometry = plain(feature);
    if (action === 'draw') {
      finishedAtMs = performance.now();
      events.growing(null);
      events.drawn(geometry);
    } else if (laid.has(String(key))) events.moved(String(key), geometry, true);
  });
  table.on('change', (keys, what, context) => {
    if (context !== undefined && 'origin' in context) return;
    if (what === 'delete') {
      const removed = keys.map(String).filter((key) => laid.has(key));
      if (removed.length > 0) events.removed(removed);
      return;
    }
    for (const key of keys) {
      const feature = table.getSnapshotFeature(key);
      if (feature === undefined) continue;
      if (laid.has(String(key))) events.moved(String(key), plain(feature), false);
      else if (pencil !== null && feature.properties.mode === MODES[pencil]) events.growing(plain(feature));
    }
  });
  const onClick = ({ lngLat }: MapMouseEvent): void => {
    const isFinishing = performance.now() - finishedAtMs < FINISHING_MS;
    if (pencil === null && !isFinishing) events.picked([lngLat.lng, lngLat.lat]);
  };
  map.on('click', onClick);

  return {
    lay({ features }, selected) {
      laid = new Set();
      table.clear();
      const drawable = features.flatMap(tableFeature);
      const results = table.addFeatures(drawable);
      for (const [i, { valid }] of results.entries()) if (valid) laid.add(String(drawable[i].id));
      if (pencil === null) {
        table.setMode(PICKING);
        if (selected !== null && laid.has(selected)) table.selectFeature(selected);
      }
    },
    take(next, rightAngles) {
      pencil = next;
      events.growing(null);
      if (next !== null && next !== 'place') {
        const snapping = { toLine: true, toCoordinate: true, ...(rightAngles ? { toDegree: { degree: 90 } } : {}) };
        if (next === 'area') table.updateModeOptions<typeof TerraDrawPolygonMode>('polygon', { snapping });
        else table.updateModeOptions<typeof TerraDrawLineStringMode>('linestring', { snapping });
      }
      table.setMode(next === null ? PICKING : MODES[next]);
    },
    stop() {
      map.off('click', onClick);
      table.stop();
    },
  };
}

/** Only plain shapes can be pulled about: polygons without holes, lines, points. The rest is drawn by the plan's own layers. */
function tableFeature(feature: SiteFeature): GeoJSONStoreFeatures[] {
  const { key, geometry } = feature;
  const properties = (mode: string) => ({ mode, kind: kindOf(feature) });
  switch (geometry.type) {
    case 'Point':
      return [
        {
          type: 'Feature',
          id: key,
          properties: properties('point'),
          geometry: { type: 'Point', coordinates: rounded(geometry.coordinates) },
        },
      ];
    case 'LineString':
      return [
        {
          type: 'Feature',
          id: key,
          properties: properties('linestring'),
          geometry: { type: 'LineString', coordinates: geometry.coordinates.map(rounded) },
        },
      ];
    case 'Polygon':
      if (geometry.coordinates.length !== 1) return [];
      return [
        {
          type: 'Feature',
          id: key,
          properties: properties('polygon'),
          geometry: { type: 'Polygon', coordinates: [geometry.coordinates[0].map(rounded)] },
        },
      ];
    default:
      return [];
  }
}

function plain({ geometry }: GeoJSONStoreFeatures): SiteGeometryInput {
  switch (geometry.type) {
    case 'Point':
      return { type: 'Point', coordinates: rounded(geometry.coordinates) };
    case 'LineString':
      return { type: 'LineString', coordinates: geometry.coordinates.map(rounded) };
    case 'Polygon':
      return { type: 'Polygon', coordinates: geometry.coordinates.map((ring) => ring.map(rounded)) };
  }
}

/** Thin ink for what lies there (the plan's own layers draw the ground), the accent for what is touched. */
function modes(ink: Ink) {
  const point = { pointerDistance: REACH_PX };
  const marks = {
    snappingPointColor: hex(ink.accent),
    snappingPointWidth: 6,
    snappingPointOutlineColor: hex(ink.paper),
    closingPointColor: hex(ink.paper),
    closingPointWidth: 7,
    closingPointOutlineColor: hex(ink.accent),
    closingPointOutlineWidth: 2,
  };
  const flags = {
    feature: {
      draggable: true,
      coordinates: { midpoints: { draggable: true }, draggable: true, deletable: true, snappable: true },
    },
  };
  return [
    new TerraDrawPolygonMode({
      ...point,
      snapping: { toLine: true, toCoordinate: true },
      styles: {
        fillColor: hex(ink.accent),
        fillOpacity: ({ properties }) => (properties.kind === undefined ? 0.08 : 0),
        outlineColor: ({ properties }) => hex(properties.kind === undefined ? ink.accent : ink.soft),
        outlineWidth: ({ properties }) => (properties.kind === undefined ? 2.4 : 1),
        ...marks,
      },
    }),
    new TerraDrawLineStringMode({
      ...point,
      snapping: { toLine: true, toCoordinate: true },
      styles: {
        lineStringColor: ({ properties }) => hex(properties.kind === undefined ? ink.accent : ink.soft),
        lineStringWidth: ({ properties }) => (properties.kind === undefined ? 2.4 : 1),
        ...marks,
      },
    }),
    new TerraDrawPointMode({
      styles: { pointColor: hex(ink.paper), pointWidth: 5, pointOutlineColor: hex(ink.line), pointOutlineWidth: 1.5 },
    }),
    new TerraDrawSelectMode({
      pointerDistance: REACH_PX,
      allowManualSelection: false,
      allowManualDeselection: false,
      flags: { polygon: flags, linestring: flags, point: flags },
      keyEvents: { delete: 'Delete', deselect: null, rotate: null, scale: null },
      styles: {
        selectedPolygonColor: hex(ink.accent),
        selectedPolygonFillOpacity: 0.04,
        selectedPolygonOutlineColor: hex(ink.accent),
        selectedPolygonOutlineWidth: 2.4,
        selectedLineStringColor: hex(ink.accent),
        selectedLineStringWidth: 2.6,
        selectedPointColor: hex(ink.accent),
        selectedPointWidth: 8,
        selectedPointOutlineColor: hex(ink.paper),
        selectedPointOutlineWidth: 2,
        selectionPointColor: hex(ink.paper),
        selectionPointWidth: 6,
        selectionPointOutlineColor: hex(ink.accent),
        selectionPointOutlineWidth: 2.2,
        midPointColor: hex(ink.accent),
        midPointWidth: 3.5,
        midPointOutlineColor: hex(ink.paper),
        midPointOutlineWidth: 1,
      },
    }),
  ];
}

function hex(colour: string): `#${string}` {
  return `#${colour.replace('#', '')}`;
}
