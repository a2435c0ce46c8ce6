import { csv } from './csv.ts';
import { dxf } from './dxf.ts';
import { flatgeobuf } from './flatgeobuf.ts';
import { geojson } from './geojson.ts';
import { geojsonSeq } from './geojson-seq.ts';
import { gpx } from './gpx.ts';
import { ics } from './ics.ts';
import { kml } from './kml.ts';
import { mvt } from './mvt.ts';
import type { PlanFormat } from './plan-format.ts';
import { simulation } from './simulation.ts';
import { svg } from './svg.ts';

/** Every format a plan can be handed over in. A new one is a file and a line here. */
export const FORMATS: readonly PlanFormat[] = [
  geojson,
  geojsonSeq,
  csv,
  ics,
  svg,
  mvt,
  flatgeobuf,
  dxf,
  kml,
  gpx,
  simulation,
];
