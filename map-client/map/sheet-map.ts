import { type GeoJSONSource, Map as MapLibreMap, setWorkerUrl } from 'maplibre-gl';
import workerUrl from 'maplibre-gl/dist/maplibre-gl-worker.mjs?worker&url';
import type { StageId } from '#geo-core/index.ts';
import 'maplibre-gl/dist/maplibre-gl.css';
import type { Drawing, DrawnSheet, LonLatPair } from '../drawing.ts';
import type { Ink } from '../ink.ts';
import { STAGES } from '../layers/sheets.ts';
import { asGeoJson } from './as-geojson.ts';
import { laidInAllM, routeUpTo } from './route-up-to.ts';
import {
  BEFORE,
  BEFORE_LINE,
  isVisible,
  PLACE,
  type SourceName,
  sheetLayers,
  sheetStyle,
  TOUCHED,
} from './sheet-style.ts';
import { drawTexture, PIXEL_RATIO, textureNamed } from './textures.ts';

const ROUTE_STAGE = '50-join-route';
const DRAWING_MS = 1400;
const PLACE_ZOOM = 21.5;
/** Steps that draw the whole sheet: an accent on everything would be an accent on nothing. */
const WITHOUT_ACCENT: ReadonlySet<StageId> = new Set(['05-read-site', '10-project-site', '80-unproject-plan']);
const NOTHING: DrawnSheet = { type: 'FeatureCollection', features: [] };
/** Room for the furniture of the sheet, CSS pixels: the key at the left of a wide sheet, the moves above a narrow one. */
const ROOMS_PX = [
  { fromPx: 860, room: { top: 44, right: 84, bottom: 36, left: 270 } },
  { fromPx: 520, room: { top: 72, right: 40, bottom: 48, left: 40 } },
  { fromPx: 0, room: { top: 128, right: 20, bottom: 44, left: 20 } },
];

export type SheetMap = {
  readonly map: MapLibreMap;
  /**
   * Lays a drawing on the table: `fresh` brings it into view, `changed` lets the old wire fade beside the new one, `live`
   * puts it there at once, for a hand that is still pulling.
   */
  readonly show: (drawing: Drawing, how: 'fresh' | 'changed' | 'live') => void;
  /** Calls once the style is there: at once, or when it has been loaded. */
  readonly whenStyled: (then: () => void) => void;
  /** Takes the drawing off the table. */
  readonly clear: () => void;
  readonly setStep: (stepIndex: number) => void;
  readonly setInk: (ink: Ink) => void;
  /** Goes to a place and rings it; null takes the ring away. */
  readonly goTo: (place: LonLatPair | null) => void;
  readonly showWhole: () => void;
};

/**
 * The map of one drawing: flat, plain paper, everything from memory. The container's `data-state` says `drawn` when nothing
 * moves any more.
 */
export function createSheetMap(container: HTMLElement, firstInk: Ink, reducedMotion: () => boolean): SheetMap {
  setWorkerUrl(workerUrl);
  let ink = firstInk;
  let stepIndex = STAGES.length - 1;
  let drawing: Drawing | undefined;
  let place: LonLatPair | null = null;
  let laying = 0;
  let styled = false;

  const map = new MapLibreMap({
    container,
    style: sheetStyle(ink, {}, stepIndex),
    attributionControl: false,
    maxPitch: 0,
    maxZoom: 24,
    minZoom: 3,
    zoom: 18,
    fadeDuration: 0,
  });
  map.setMissingStyleImageResolver((id) => {
    const texture = textureNamed(id);
    if (texture !== undefined && !map.hasImage(id))
      map.addImage(id, drawTexture(texture, ink), { pixelRatio: PIXEL_RATIO });
  });
  map.on('style.load', () => {
    styled = true;
  });
  map.on('idle', () => {
    if (laying === 0 && drawing !== undefined) container.dataset.state = 'drawn';
  });

  function put(name: SourceName, data: DrawnSheet): void {
    map.getSource<GeoJSONSource>(name)?.setData(asGeoJson(data));
  }
  function touched(): DrawnSheet {
    const stage = STAGES[stepIndex];
    return drawing === undefined || WITHOUT_ACCENT.has(stage) ? NOTHING : drawing.sheets[stage];
  }
  function ring(): DrawnSheet {
    if (place === null) return NOTHING;
    return {
      type: 'FeatureCollection',
      features: [{ type: 'Feature', properties: {}, geometry: { type: 'Point', coordinates: [...place] } }],
    };
  }
  function restyle(): void {
    styled = false;
    map.setStyle(sheetStyle(ink, { ...drawing?.sheets, [TOUCHED]: touched(), [PLACE]: ring() }, stepIndex), {
      diff: false,
    });
  }
  /** `isStyleLoaded` is also false while tiles load; what matters here is that sources and layers are there. */
  function whenStyled(then: () => void): void {
    if (styled) then();
    else map.once('style.load', then);
  }
  function showWhole(): void {
    if (drawing === undefined) return;
    map.resize();
    const [west, south, east, north] = drawing.bounds;
    map.fitBounds([west, south, east, north], {
      padding: (ROOMS_PX.find(({ fromPx }) => container.clientWidth >= fromPx) ?? ROOMS_PX[0]).room,
      bearing: 0,
      animate: !reducedMotion() && map.isMoving(),
      maxZoom: 22.5,
    });
  }

  function putRoute(sheet: DrawnSheet): void {
    cancelAnimationFrame(laying);
    laying = 0;
    put(ROUTE_STAGE, sheet);
  }

  /** Draws the wire once along its chainage. */
  function layRoute(sheet: DrawnSheet): void {
    const allM = laidInAllM(sheet);
    if (reducedMotion() || allM === 0) {
      putRoute(sheet);
      return;
    }
    cancelAnimationFrame(laying);
    const startMs = performance.now();
    const frame = (): void => {
      const share = Math.min(1, (performance.now() - startMs) / DRAWING_MS);
      put(ROUTE_STAGE, share === 1 ? sheet : routeUpTo(sheet, allM * share * (2 - share)));
      laying = share === 1 ? 0 : requestAnimationFrame(frame);
    };
    frame();
  }

  function fadeBefore(before: DrawnSheet): void {
    if (reducedMotion()) return;
    put(BEFORE, before);
    map.setPaintProperty(BEFORE_LINE, 'line-opacity-transition', { duration: 0 });
    map.setPaintProperty(BEFORE_LINE, 'line-opacity', 0.9);
    map.once('render', () => {
      map.setPaintProperty(BEFORE_LINE, 'line-opacity-transition', { duration: DRAWING_MS });
      map.setPaintProperty(BEFORE_LINE, 'line-opacity', 0);
    });
  }

  return {
    map,
    showWhole,
    whenStyled,
    show(next, how) {
      container.dataset.state = 'drawing';
      const before = how === 'changed' ? drawing?.sheets[ROUTE_STAGE] : undefined;
      drawing = next;
      place = null;
      whenStyled(() => {
        for (const stage of STAGES) if (stage !== ROUTE_STAGE) put(stage, next.sheets[stage]);
        put(TOUCHED, touched());
        put(PLACE, NOTHING);
        if (before !== undefined) fadeBefore(before);
        if (how === 'fresh') showWhole();
        if (how === 'live') putRoute(next.sheets[ROUTE_STAGE]);
        else layRoute(next.sheets[ROUTE_STAGE]);
      });
    },
    clear() {
      drawing = undefined;
      place = null;
      whenStyled(() => {
        for (const name of [...STAGES, TOUCHED, PLACE] as const) put(name, NOTHING);
      });
    },
    setStep(index) {
      stepIndex = index;
      whenStyled(() => {
        for (const { stage, layer, onlyAtItsStep } of sheetLayers(ink)) {
          const visibility = isVisible(stage, onlyAtItsStep, stepIndex) ? 'visible' : 'none';
          map.setLayoutProperty(layer.id, 'visibility', visibility);
        }
        put(TOUCHED, touched());
      });
    },
    setInk(next) {
      ink = next;
      restyle();
    },
    goTo(next) {
      place = next;
      whenStyled(() => put(PLACE, ring()));
      if (next === null) return;
      const view = { center: [next[0], next[1]] as [number, number], zoom: Math.max(map.getZoom(), PLACE_ZOOM) };
      if (reducedMotion()) map.jumpTo(view);
      else map.flyTo({ ...view, duration: 900 });
    },
  };
}
