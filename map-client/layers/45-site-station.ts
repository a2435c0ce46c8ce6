import { SANS } from '../faces.ts';
import type { Ink } from '../ink.ts';
import { isKind, type Sheet, type SheetLayer } from './sheet.ts';

/** Places besides the chosen one that the finished sheet shows; all of them are shown at this step. */
const SHOWN_RANKS = 4;

/** The station with its heading, the places that came after it, and its low-voltage cable. */
export const siteStation: Sheet = {
  stage: '45-site-station',
  did: ({ outputs, plan, figures, say }) => {
    const { stations, candidates } = outputs['45-site-station'];
    if (stations.length === 0) return say('did.noStation');
    const cable = plan.features.find(({ properties }) => properties.kind === 'supply-cable')?.properties;
    const [first] = stations;
    const place = first.fixedByUser ? say('did.stationFixed') : say('did.stationBest', { n: candidates.length });
    if (cable?.kind !== 'supply-cable') return place;
    return `${place} ${say('did.stationCable', { length: figures.length(cable.lengthM) })}`;
  },
  kinds: ['station', 'station-candidate', 'supply-cable'],
  draw: () => [],
  layers: (ink) => [
    {
      depth: 'line',
      layer: {
        id: 'supply-cable',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'supply-cable'],
        layout: { 'line-join': 'round' },
        paint: { 'line-color': ink.line, 'line-width': 1.6, 'line-dasharray': [5, 2, 1, 2] },
      },
    },
    { depth: 'symbol', layer: candidates('station-candidate', 2, SHOWN_RANKS, ink) },
    {
      depth: 'symbol',
      onlyAtItsStep: true,
      layer: candidates('station-candidate-more', SHOWN_RANKS + 1, Number.MAX_SAFE_INTEGER, ink),
    },
    {
      depth: 'symbol',
      layer: {
        id: 'station',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'station'],
        layout: {
          'icon-image': ['match', ['get', 'role'], 'charging', 'mark-station', 'mark-signal-unit'],
          'icon-rotate': ['get', 'headingDeg'],
          'icon-rotation-alignment': 'map',
          'icon-allow-overlap': true,
          'icon-ignore-placement': true,
        },
      },
    },
  ],
  key: [
    {
      label: 'key.station',
      shows: (properties) => properties.kind === 'station' && properties.role === 'charging',
      swatch: { type: 'mark', mark: 'mark-station' },
    },
    {
      label: 'key.signalUnit',
      shows: (properties) => properties.kind === 'station' && properties.role === 'signal-only',
      swatch: { type: 'mark', mark: 'mark-signal-unit' },
    },
    {
      label: 'key.candidate',
      shows: (properties) => properties.kind === 'station-candidate' && Number(properties.rank) > 1,
      swatch: { type: 'mark', mark: 'mark-candidate' },
    },
    {
      label: 'key.cable',
      shows: isKind('supply-cable'),
      swatch: { type: 'line', width: 1.6, dash: [8, 3, 2, 3], tone: 'line' },
    },
  ],
};

function candidates(id: string, fromRank: number, toRank: number, ink: Ink): SheetLayer['layer'] {
  return {
    id,
    type: 'symbol',
    minzoom: 18,
    filter: [
      'all',
      ['==', ['get', 'kind'], 'station-candidate'],
      ['>=', ['get', 'rank'], fromRank],
      ['<=', ['get', 'rank'], toRank],
    ],
    layout: {
      'icon-image': 'mark-candidate',
      'icon-allow-overlap': true,
      'icon-ignore-placement': true,
      'text-field': ['to-string', ['get', 'rank']],
      'text-font': [SANS],
      'text-size': 11,
      'text-allow-overlap': true,
      'text-ignore-placement': true,
    },
    paint: { 'text-color': ink.line },
  };
}
