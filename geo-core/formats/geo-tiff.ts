import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { element, text, written } from './drawing/mark-up.ts';
import { utf8 } from './utf8.ts';

/** Values at the centres of the cells of a grid with north up; row 0 is the northernmost. */
export type Raster = {
  /** Of a system of the registry. */
  readonly epsg: number;
  readonly columns: number;
  readonly rows: number;
  /** The corner of the first cell, and the size of a cell, in the system's unit, east (or longitude) first. */
  readonly westX: number;
  readonly northY: number;
  readonly cellX: number;
  readonly cellY: number;
  /** NaN where not known. */
  readonly values: Float32Array;
  readonly description: string;
  readonly unit: string;
};

/** What stands for "not known" in the file: no slope and no field is negative or that large. */
export const NO_DATA = -9999;

const [SHORT, LONG, DOUBLE, ASCII] = [3, 4, 12, 2] as const;
const VALUE_BYTES = { [ASCII]: 1, [SHORT]: 2, [LONG]: 4, [DOUBLE]: 8 } as const;
type Entry = readonly [tag: number, type: keyof typeof VALUE_BYTES, values: readonly number[]];

const HEADER_BYTES = 8;
const ENTRY_BYTES = 12;

/**
 * A GeoTIFF 1.1 (OGC 19-008r4) of one band of 32-bit floats, little endian, plain, in one strip; unknown cells by GDAL_NODATA. The tags of
 * GDAL (42112, 42113) carry description and unit.
 */
export function geoTiff(raster: Raster): Uint8Array {
  const { columns, rows, values } = raster;
  const directory = (stripAt: number): readonly Entry[] => [
    [256, LONG, [columns]],
    [257, LONG, [rows]],
    [258, SHORT, [32]],
    [259, SHORT, [1]],
    [262, SHORT, [1]],
    [273, LONG, [stripAt]],
    [277, SHORT, [1]],
    [278, LONG, [rows]],
    [279, LONG, [4 * values.length]],
    [284, SHORT, [1]],
    [339, SHORT, [3]],
    [33550, DOUBLE, [raster.cellX, raster.cellY, 0]],
    [33922, DOUBLE, [0, 0, 0, raster.westX, raster.northY, 0]],
    [34735, SHORT, geoKeys(raster.epsg)],
    [42112, ASCII, [...utf8(metadata(raster)), 0]],
    [42113, ASCII, [...utf8(String(NO_DATA)), 0]],
  ];
  const entries = directory(directoryBytes(directory(0)));
  const stripAt = directoryBytes(entries);
  const view = new DataView(new ArrayBuffer(stripAt + 4 * values.length));
  writeDirectory(view, entries);
  for (let i = 0; i < values.length; i++) {
    view.setFloat32(stripAt + 4 * i, Number.isNaN(values[i]) ? NO_DATA : values[i], true);
  }
  return new Uint8Array(view.buffer);
}

/** Model type, cells as areas, and the code of the system (OGC 19-008r4, 7.2 and annex D). */
function geoKeys(epsg: number): number[] {
  const isGeographic = crsByEpsg(epsg)?.unit === 'degree';
  const keys = [
    [1024, 0, 1, isGeographic ? 2 : 1],
    [1025, 0, 1, 1],
    [isGeographic ? 2048 : 3072, 0, 1, epsg],
  ];
  return [1, 1, 1, keys.length, ...keys.flat()];
}

function metadata({ description, unit }: Raster): string {
  const item = (name: string, value: string) =>
    element('Item', { name, sample: 0, role: name === 'DESCRIPTION' ? 'description' : 'unittype' }, text(value));
  return written(element('GDALMetadata', {}, item('DESCRIPTION', description), item('UNITTYPE', unit)));
}

const valueBytes = ([, type, values]: Entry): number => VALUE_BYTES[type] * values.length;
/** Values of more than four bytes stand behind the directory, on even places (TIFF 6.0, section 2). */
const outsideBytes = (entry: Entry): number =>
  valueBytes(entry) <= 4 ? 0 : valueBytes(entry) + (valueBytes(entry) % 2);

function directoryBytes(entries: readonly Entry[]): number {
  return entries.reduce((bytes, entry) => bytes + ENTRY_BYTES + outsideBytes(entry), HEADER_BYTES + 2 + 4);
}

function writeDirectory(view: DataView, entries: readonly Entry[]): void {
  view.setUint16(0, 0x4949);
  view.setUint16(2, 42, true);
  view.setUint32(4, HEADER_BYTES, true);
  view.setUint16(HEADER_BYTES, entries.length, true);
  let outside = HEADER_BYTES + 2 + ENTRY_BYTES * entries.length + 4;
  for (const [i, entry] of entries.entries()) {
    const [tag, type, values] = entry;
    const at = HEADER_BYTES + 2 + ENTRY_BYTES * i;
    view.setUint16(at, tag, true);
    view.setUint16(at + 2, type, true);
    view.setUint32(at + 4, values.length, true);
    const isInside = outsideBytes(entry) === 0;
    if (!isInside) view.setUint32(at + 8, outside, true);
    writeValues(view, isInside ? at + 8 : outside, entry);
    outside += outsideBytes(entry);
  }
}

function writeValues(view: DataView, at: number, [, type, values]: Entry): void {
  for (const [k, value] of values.entries()) {
    const place = at + VALUE_BYTES[type] * k;
    if (type === ASCII) view.setUint8(place, value);
    else if (type === SHORT) view.setUint16(place, value, true);
    else if (type === LONG) view.setUint32(place, value, true);
    else view.setFloat64(place, value, true);
  }
}
