/** The only door to the planner, for Node and the browser. The nouns (`model/`) may be taken directly. */
export { type FaultSearch, findFault, type RecordedRoute } from './fault/find-fault.ts';
export { fieldBands } from './field/field-bands.ts';
export { planNeighbours } from './field/plan-neighbours.ts';
export { HATCHES } from './formats/drawing/ink.ts';
export type { Attributes, Element, MarkUp } from './formats/drawing/mark-up.ts';
export { flatProperties } from './formats/flat-properties.ts';
export { type FlatGeobufColumn, type FlatGeobufFeature, flatGeobufLayer } from './formats/flatgeobuf-layer.ts';
export { FORMATS } from './formats/formats.ts';
export { KIND_STYLES } from './formats/kind-styles.ts';
export { Message } from './formats/message.ts';
export type { BesidePlan } from './formats/raster-format.ts';
export { RASTERS } from './formats/rasters.ts';
export {
  encodeTileGeometry,
  TILE_GEOMETRY_TYPES,
  type TileGeometryType,
  type TilePlace,
} from './formats/tile-geometry.ts';
export { HALF_SQUARE_M, placeInTile, TILE_EXTENT, type Tile, tileAt, tileCorner } from './formats/tile-grid.ts';
export { FIT_VERDICTS, type FitVerdict, type MachineFit, machineFit } from './machines/machine-fit.ts';
export { MACHINES_MAX, splitLawn } from './machines/split-lawn.ts';
export type { Handover } from './papers/handover.ts';
export { type Block, HEAD_MM, MARGIN_MM, type Paper, type Row, SHEET_MM } from './papers/paper.ts';
export { PAPERS } from './papers/papers.ts';
export { PAPER_POLICY, type PageFace, writeHtml } from './papers/write-html.ts';
export { planSite, STAGE_IDS, type StageId, type Trace } from './plan-site.ts';
export { loadKernel } from './plane/kernel.ts';
export { distanceM, lineLengthM, totalAreaM2 } from './plane/measure.ts';
export { pointInPolygon } from './plane/polygons.ts';
export { crsConverter } from './projection/crs-converter.ts';
export { type Crs, crsByEpsg, crsByWkt } from './projection/crs-registry.ts';
export { type LocalPlaneProjection, localPlaneProjection } from './projection/local-plane.ts';
export { checkPlaces, type Locate, placeInDegrees } from './reading/check-places.ts';
export { MAX_CELLS } from './terrain/grid-checks.ts';
export { readCoverageJson } from './terrain/read-coverage-json.ts';
export { readElevation } from './terrain/read-elevation.ts';
export { TerrainError } from './terrain/terrain-error.ts';
export { isTimeZone } from './upkeep/clock-offset.ts';
export { simulateMowing } from './upkeep/simulate-mowing.ts';
export { visitBands } from './upkeep/visit-bands.ts';
