import { isKind, type Sheet } from './sheet.ts';

const TRIAL_FROM_ZOOM = 20.8;
const FINAL_FROM_ZOOM = 21.6;

/** Pegs where one is near enough to set them, trial pegs before final ones, and every splice. */
export const setOut: Sheet = {
  stage: '60-set-out',
  did: ({ outputs, say }) => {
    const { pegs, splices, spoolCount } = outputs['60-set-out'];
    const trial = pegs.filter(({ pass }) => pass === 'trial').length;
    return say('did.setOut', { pegs: pegs.length, trial, splices: splices.length, spools: spoolCount });
  },
  kinds: ['peg', 'splice'],
  draw: () => [],
  layers: (ink) => [
    {
      depth: 'symbol',
      layer: {
        id: 'peg-final',
        type: 'circle',
        minzoom: FINAL_FROM_ZOOM,
        filter: ['all', ['==', ['get', 'kind'], 'peg'], ['==', ['get', 'pass'], 'final']],
        paint: {
          'circle-radius': 2,
          'circle-color': ink.paper,
          'circle-stroke-color': ink.line,
          'circle-stroke-width': 1,
        },
      },
    },
    {
      depth: 'symbol',
      layer: {
        id: 'peg-trial',
        type: 'circle',
        minzoom: TRIAL_FROM_ZOOM,
        filter: ['all', ['==', ['get', 'kind'], 'peg'], ['==', ['get', 'pass'], 'trial']],
        paint: {
          'circle-radius': 3,
          'circle-color': ink.line,
          'circle-stroke-color': ink.paper,
          'circle-stroke-width': 1,
        },
      },
    },
    {
      depth: 'symbol',
      layer: {
        id: 'splice',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'splice'],
        layout: { 'icon-image': 'mark-splice', 'icon-allow-overlap': true, 'icon-ignore-placement': true },
      },
    },
  ],
  key: [
    {
      label: 'key.pegTrial',
      fromZoom: TRIAL_FROM_ZOOM,
      shows: (properties) => properties.kind === 'peg' && properties.pass === 'trial',
      swatch: { type: 'mark', mark: 'mark-peg-trial' },
    },
    {
      label: 'key.pegFinal',
      fromZoom: FINAL_FROM_ZOOM,
      shows: (properties) => properties.kind === 'peg' && properties.pass === 'final',
      swatch: { type: 'mark', mark: 'mark-peg-final' },
    },
    { label: 'key.splice', shows: isKind('splice'), swatch: { type: 'mark', mark: 'mark-splice' } },
  ],
};
