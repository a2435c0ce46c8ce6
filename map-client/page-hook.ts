import type { Map as MapLibreMap } from 'maplibre-gl';

/** What the page lets other scripts of its own origin see: the map, for tests and for pages that frame the drawing. */
export type PageHook = { readonly map: MapLibreMap };

declare global {
  interface Window {
    loopwright?: PageHook;
  }
}
