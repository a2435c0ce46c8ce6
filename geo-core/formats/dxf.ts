import { DxfWriter, LWPolylineFlags, point2d, point3d, Units } from '@tarikjabiri/dxf';
import type { Plan, PlanFeature, PlanKind } from '#geo-core/model/plan.ts';
import { linesOf, polygonsOf } from '#geo-core/model/plan-geometry.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import type { PlanFormat } from './plan-format.ts';
import { planPlane } from './plan-plane.ts';

/**
 * The plan for CAD: metres of the local plane in the middle of the plan (east = x, north = y; its origin stands as text in
 * the drawing), one layer a kind, blocks for pegs, splices and stations.
 */
export const dxf: PlanFormat = {
  id: 'dxf',
  mediaType: 'image/vnd.dxf',
  extension: 'dxf',
  title: 'DXF: for CAD, in local metres',
  write: writeDxf,
};

/** Colour numbers of the DXF index that CAD programs know: 7 is black on paper, 8 grey, 3 green, 1 red, 5 blue, 30 orange. */
const LAYER_COLOURS: Readonly<Record<PlanKind, number>> = {
  'working-area': 3,
  route: 7,
  'boundary-loop': 7,
  'keep-out-loop': 7,
  bay: 8,
  lead: 8,
  zone: 3,
  passage: 30,
  station: 5,
  'station-candidate': 8,
  'supply-cable': 1,
  peg: 8,
  splice: 1,
  'hand-mow': 8,
  steep: 30,
  'weak-signal': 30,
};
const NOTE_LAYER = 'note';
const NOTE_HEIGHT_M = 0.25;
/** Radius of the circle that marks a peg, a splice, a station, metres. */
const MARK_RADII_M = { peg: 0.03, splice: 0.08, station: 0.25, 'station-candidate': 0.15 } as const;
type MarkKind = keyof typeof MARK_RADII_M;

function writeDxf(plan: Plan): string {
  const origin = planPlane(plan);
  const { toPlane } = localPlaneProjection(origin);
  const drawing = new DxfWriter();
  drawing.setUnits(Units.Meters);
  const kinds = [...new Set(plan.features.map(({ properties }) => properties.kind))];
  for (const kind of kinds) drawing.addLayer(kind, LAYER_COLOURS[kind]);
  drawing.addLayer(NOTE_LAYER, 7);
  for (const kind of kinds) {
    if (!isMark(kind)) continue;
    const block = drawing.addBlock(kind);
    block.addCircle(point3d(0, 0), MARK_RADII_M[kind]);
    block.addPoint(0, 0, 0);
  }
  for (const feature of plan.features) drawFeature(feature, drawing, toPlane);
  const { originLonDeg, originLatDeg } = origin;
  drawing.addText(
    point3d(0, 0),
    NOTE_HEIGHT_M,
    `0, 0 = ${originLonDeg.toFixed(9)} E, ${originLatDeg.toFixed(9)} N (WGS 84), transverse Mercator, scale 1; metres`,
    { layerName: NOTE_LAYER },
  );
  return drawing.stringify();
}

type ToPlane = (lonDeg: number, latDeg: number) => PlanePoint;

function drawFeature({ properties, geometry }: PlanFeature, drawing: DxfWriter, toPlane: ToPlane): void {
  const layer = { layerName: properties.kind };
  if (geometry.type === 'Point') {
    const { x, y } = toPlane(...geometry.coordinates);
    if (isMark(properties.kind)) drawing.addInsert(properties.kind, point3d(x, y), layer);
    else drawing.addPoint(x, y, 0, layer);
    return;
  }
  const isArea = polygonsOf(geometry).length > 0;
  for (const positions of linesOf(geometry)) {
    const open = isArea ? positions.slice(0, -1) : positions;
    const vertices = open.map(([lonDeg, latDeg]) => {
      const { x, y } = toPlane(lonDeg, latDeg);
      return { point: point2d(x, y) };
    });
    drawing.addLWPolyline(vertices, { ...layer, flags: isArea ? LWPolylineFlags.Closed : LWPolylineFlags.None });
  }
}

function isMark(kind: PlanKind): kind is MarkKind {
  return kind in MARK_RADII_M;
}
