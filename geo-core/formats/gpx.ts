import type { Plan, Position } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import { spoken } from '#geo-core/model/spoken.ts';
import { element, type MarkUp, text, written } from './drawing/mark-up.ts';
import type { PlanFormat } from './plan-format.ts';

/** For walking the line with a hand-held receiver: one route a signal unit in laying order, a waypoint for every station, peg and splice (GPX 1.1). */
export const gpx: PlanFormat = {
  id: 'gpx',
  mediaType: 'application/gpx+xml',
  extension: 'gpx',
  title: 'GPX: the line to walk, its pegs as waypoints',
  write: (plan) => `<?xml version="1.0" encoding="UTF-8"?>\n${written(writeRoot(plan))}\n`,
};

/** The schema's order: metadata, waypoints, routes. */
function writeRoot({ name, features, bbox }: Plan): MarkUp {
  const waypoints: MarkUp[] = [];
  const routes: MarkUp[] = [];
  for (const { id, properties, geometry } of features) {
    const positions = positionsOf(geometry);
    switch (properties.kind) {
      case 'station':
      case 'splice':
      case 'peg':
        waypoints.push(
          place('wpt', positions[0], `${spoken(id)}, ${properties.chainageM.toFixed(2)} m`, properties.kind),
        );
        break;
      case 'route': {
        const points = positions.map((position, i) =>
          place('rtept', position, `${properties.chainageM[i].toFixed(2)} m`),
        );
        routes.push(
          element(
            'rte',
            {},
            leaf('name', `Wire of signal unit ${properties.signalUnit}`),
            leaf('desc', `${properties.lengthM.toFixed(2)} m in laying order; names are metres from the station`),
            ...points,
          ),
        );
      }
    }
  }
  const bounds =
    bbox === undefined || bbox[2] < bbox[0]
      ? []
      : [
          element('bounds', {
            minlat: String(bbox[1]),
            minlon: String(bbox[0]),
            maxlat: String(bbox[3]),
            maxlon: String(bbox[2]),
          }),
        ];
  return element(
    'gpx',
    { xmlns: 'http://www.topografix.com/GPX/1/1', version: '1.1', creator: 'Loopwright' },
    element('metadata', {}, leaf('name', name ?? 'Boundary wire plan'), ...bounds),
    ...waypoints,
    ...routes,
  );
}

function place(kind: string, [lonDeg, latDeg]: Position, name: string, type?: string): MarkUp {
  return element(
    kind,
    { lat: String(latDeg), lon: String(lonDeg === 180 ? -180 : lonDeg) },
    leaf('name', name),
    ...(type === undefined ? [] : [leaf('type', type)]),
  );
}

function leaf(name: string, value: string): MarkUp {
  return element(name, {}, text(value));
}
