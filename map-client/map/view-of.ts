import type { Map as MapLibreMap } from 'maplibre-gl';
import type { State } from '../state.ts';

/** Of the earth at the equator (WGS 84), the width of the Web Mercator square. */
const AROUND_EARTH_M = 40_075_016.686;
/** Width of that square at zoom 0. */
const SQUARE_PX = 512;

/** How the map lies now; a pixel is measured in the middle of the sheet. */
export function viewOf(map: MapLibreMap): State['view'] {
  const zoom = map.getZoom();
  const aroundM = AROUND_EARTH_M * Math.cos((map.getCenter().lat * Math.PI) / 180);
  return { zoom, bearingDeg: map.getBearing(), metresPerPixel: aroundM / (SQUARE_PX * 2 ** zoom) };
}
