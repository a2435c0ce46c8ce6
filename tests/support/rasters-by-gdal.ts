import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export type ForeignRaster = {
  /** EPSG code of the system. */
  readonly epsg: number;
  readonly columns: number;
  readonly rows: number;
  readonly type: string;
  readonly noData: number;
  readonly unit: string;
  /** Centre of a cell and its value, without the unknown ones, from the north-west on. */
  readonly cells: readonly { readonly x: number; readonly y: number; readonly value: number }[];
};

/** What GDAL's own reader finds in a GeoTIFF of one band. */
export function rasterByGdal(bytes: Uint8Array): ForeignRaster {
  const folder = mkdtempSync(join(tmpdir(), 'gdal-'));
  try {
    const file = join(folder, 'in.tif');
    writeFileSync(file, bytes);
    const run = (command: string, ...args: string[]) =>
      execFileSync(command, args, { encoding: 'utf8', maxBuffer: 64e6, stdio: ['ignore', 'pipe', 'pipe'] });
    const told = JSON.parse(run('gdalinfo', '-json', file));
    const table = run('gdal_translate', '-q', '-of', 'XYZ', file, '/vsistdout/');
    const [{ type, noDataValue, unit }] = told.bands;
    return {
      epsg: Number(/ID\["EPSG",(\d+)\]\]\s*$/.exec(told.coordinateSystem.wkt)?.[1]),
      columns: told.size[0],
      rows: told.size[1],
      type,
      noData: noDataValue,
      unit,
      cells: table
        .trim()
        .split('\n')
        .map((line) => line.split(' ').map(Number))
        .flatMap(([x, y, value]) => (value === noDataValue ? [] : [{ x, y, value }])),
    };
  } finally {
    rmSync(folder, { recursive: true });
  }
}
