import { fieldTif } from './field-tif.ts';
import type { RasterFormat } from './raster-format.ts';
import { slopeTif } from './slope-tif.ts';

/** Values over the ground that a plan can be handed over as. A new one is a file and a line here. */
export const RASTERS: readonly RasterFormat[] = [slopeTif, fieldTif];
