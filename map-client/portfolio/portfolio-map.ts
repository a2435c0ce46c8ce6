import { type GeoJSONSource, type LayerSpecification, Map as MapLibreMap, setWorkerUrl } from 'maplibre-gl';
import workerUrl from 'maplibre-gl/dist/maplibre-gl-worker.mjs?worker&url';
import 'maplibre-gl/dist/maplibre-gl.css';
import type { Ink } from '../ink.ts';
import { keyHeaders } from '../kept/ask-service.ts';
import type { FigureId, PlanRow } from './plan-rows.ts';
import { classOf } from './register.ts';

export type PortfolioMap = {
  readonly map: MapLibreMap;
  /** Draws the chosen properties, each in the wash of its class. */
  readonly show: (rows: readonly PlanRow[], figure: FigureId, breaks: readonly number[]) => void;
  readonly goTo: (row: PlanRow) => void;
  readonly showAll: (rows: readonly PlanRow[]) => void;
  /** Rings one property; null takes the ring away. */
  readonly ring: (row: PlanRow | null) => void;
};

/** From paper to moss: five washes whose lightness alone tells them apart, and on each of them the wire is read. */
export const WASHES = ['#f1f2e2', '#dbe2c0', '#bfcb99', '#9cae74', '#788f52'] as const;
const NOT_KNOWN = 'transparent';
/** Where the washes of the parcels are kept: by id, for all tiles at once. */
const GROUNDS = { source: 'plans', sourceLayer: 'plans' };
const SHAPES_FROM_ZOOM = 14;
const PLACE_ZOOM = 18.5;

/** The map of many properties: a point each from afar, parcels of the plans as vector tiles from near. */
export function createPortfolioMap(container: HTMLElement, ink: Ink, picked: (id: string) => void): PortfolioMap {
  setWorkerUrl(workerUrl);
  const map = new MapLibreMap({
    container,
    attributionControl: false,
    maxPitch: 0,
    minZoom: 2,
    maxZoom: 22,
    zoom: 3,
    center: [10, 50],
    fadeDuration: 0,
    transformRequest: (url) => ({ url, headers: keyHeaders(url) }),
    style: {
      version: 8,
      sources: {
        rows: { type: 'geojson', data: { type: 'FeatureCollection', features: [] } },
        ring: { type: 'geojson', data: { type: 'FeatureCollection', features: [] } },
        plans: {
          type: 'vector',
          tiles: [tileAddress('plans')],
          minzoom: SHAPES_FROM_ZOOM - 1,
          maxzoom: 20,
          promoteId: 'site',
        },
        route: { type: 'vector', tiles: [tileAddress('route')], minzoom: 16, maxzoom: 20 },
      },
      layers: layers(ink),
    },
  });
  map.on('click', ['points', 'grounds'], ({ features }) => {
    const id = features?.[0]?.properties.site;
    if (typeof id === 'string') picked(id);
  });
  for (const layer of ['points', 'grounds']) {
    map.on('mouseenter', layer, () => {
      map.getCanvas().style.cursor = 'pointer';
    });
    map.on('mouseleave', layer, () => {
      map.getCanvas().style.cursor = '';
    });
  }
  const styled = (then: () => void): void => {
    if (map.isStyleLoaded()) then();
    else map.once('load', then);
  };
  return {
    map,
    show(rows, figure, breaks) {
      styled(() => {
        const washOf = (row: PlanRow) => {
          const value = row.figures[figure];
          return value === null ? NOT_KNOWN : WASHES[spread(classOf(value, breaks), breaks.length)];
        };
        map.getSource<GeoJSONSource>('rows')?.setData({
          type: 'FeatureCollection',
          features: rows.map((row) => ({
            type: 'Feature',
            properties: { site: row.id, wash: washOf(row), known: row.figures[figure] !== null },
            geometry: { type: 'Point', coordinates: [...row.middle] },
          })),
        });
        map.removeFeatureState(GROUNDS);
        for (const row of rows) map.setFeatureState({ ...GROUNDS, id: row.id }, { wash: washOf(row) });
      });
    },
    goTo: ({ middle }) => map.easeTo({ center: [...middle], zoom: Math.max(map.getZoom(), PLACE_ZOOM) }),
    showAll(rows) {
      if (rows.length === 0) return;
      const [lons, lats] = [rows.map(({ middle }) => middle[0]), rows.map(({ middle }) => middle[1])];
      const ends = (values: number[]) =>
        values.reduce(([low, high], v) => [Math.min(low, v), Math.max(high, v)], [180, -180]);
      const [[west, east], [south, north]] = [ends(lons), ends(lats)];
      map.fitBounds([west, south, east, north], { padding: 90, maxZoom: PLACE_ZOOM, animate: false });
    },
    ring(row) {
      styled(() => {
        const features =
          row === null
            ? []
            : [
                {
                  type: 'Feature' as const,
                  properties: {},
                  geometry: { type: 'Point' as const, coordinates: [...row.middle] },
                },
              ];
        map.getSource<GeoJSONSource>('ring')?.setData({ type: 'FeatureCollection', features });
      });
    },
  };
}

/** Few classes use the whole range of washes too. */
export function spread(index: number, breaks: number): number {
  return breaks === 0 ? 2 : Math.round((index * (WASHES.length - 1)) / breaks);
}

function tileAddress(collection: string): string {
  const base = new URL('ogc/', document.baseURI);
  return `${base}collections/${collection}/tiles/WebMercatorQuad/{z}/{y}/{x}?f=mvt`;
}

function layers(ink: Ink): LayerSpecification[] {
  return [
    { id: 'paper', type: 'background', paint: { 'background-color': ink.paper } },
    {
      id: 'grounds',
      type: 'fill',
      source: 'plans',
      'source-layer': 'plans',
      minzoom: SHAPES_FROM_ZOOM,
      paint: { 'fill-color': ['coalesce', ['feature-state', 'wash'], NOT_KNOWN] },
    },
    {
      id: 'ground-lines',
      type: 'line',
      source: 'plans',
      'source-layer': 'plans',
      minzoom: SHAPES_FROM_ZOOM,
      paint: { 'line-color': ink.soft, 'line-width': 1 },
    },
    {
      id: 'route-lines',
      type: 'line',
      source: 'route',
      'source-layer': 'route',
      minzoom: 16,
      paint: { 'line-color': ink.line, 'line-width': 2 },
    },
    {
      id: 'points',
      type: 'circle',
      source: 'rows',
      maxzoom: SHAPES_FROM_ZOOM + 2,
      paint: {
        'circle-radius': 6,
        'circle-color': ['get', 'wash'],
        'circle-stroke-color': ink.line,
        'circle-stroke-width': 1,
      },
    },
    {
      id: 'ring',
      type: 'circle',
      source: 'ring',
      paint: {
        'circle-radius': 12,
        'circle-color': NOT_KNOWN,
        'circle-stroke-color': ink.accent,
        'circle-stroke-width': 3,
      },
    },
  ];
}
