import { FORMATS, RASTERS } from '#geo-core/index.ts';
import type { FileFormat } from './file-format.ts';
import { geopackageFile } from './geopackage-file.ts';
import { mapImage } from './map-image.ts';

/** Every file that a plan is written as here: those that the browser writes too, and those that take a library of Node. */
export const FILE_FORMATS: readonly FileFormat[] = [...FORMATS, geopackageFile, mapImage, ...RASTERS];
