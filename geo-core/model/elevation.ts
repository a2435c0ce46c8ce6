/**
 * A grid of ground heights as its file gave it. Row 0 is the top (largest second coordinate); `heightsM[row * columns + column]`
 * is the height at the CENTRE of a cell, NaN where not known.
 */
export type ElevationGrid = {
  /** EPSG code of the grid's horizontal coordinates, for example 28992, 2154, 4326. */
  readonly epsg: number;
  readonly columns: number;
  readonly rows: number;
  /** Centre of the top left cell in the grid's own coordinates (longitude, latitude for geographic systems). */
  readonly firstCentreX: number;
  readonly firstCentreY: number;
  /** Cell size along each axis, positive, in the grid's own units (metres or degrees). */
  readonly cellX: number;
  readonly cellY: number;
  readonly heightsM: Float32Array;
  /** Where it came from, for findings: a file name or `inline`. */
  readonly source: string;
};
