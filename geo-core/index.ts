/** The only door to the planner, for Node and the browser. */
export { FORMATS } from './formats/formats.ts';
export { planSite, STAGE_IDS, type StageId, type Trace } from './plan-site.ts';
export { loadKernel } from './plane/kernel.ts';
export { crsConverter } from './projection/crs-converter.ts';
export { type Crs, crsByEpsg, crsByWkt } from './projection/crs-registry.ts';
export { walkPositions } from './reading/walk-positions.ts';
export { readCoverageJson } from './terrain/read-coverage-json.ts';
export { readElevation } from './terrain/read-elevation.ts';
export { TerrainError } from './terrain/terrain-error.ts';
