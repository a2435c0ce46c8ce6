import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { gridMap } from '#geo-core/terrain/grid-map.ts';
import { readGeoTiff } from '#geo-core/terrain/read-geotiff.ts';
import { cellSlopePct } from '#geo-core/terrain/slope.ts';
import { slopeField } from '#geo-core/terrain/slope-field.ts';
import { quantile, table } from './statistics.ts';

const GROUND = new URL('../../fixtures/sites/real/delft-ground.tif', import.meta.url);
const ROUNDS = 9;
/** Times the grid is laid side by side both ways, so that gdaldem's start hardly counts. */
const TILED = 6;

/** Slope of every cell of real lidar ground, seconds per million cells; gdaldem reads and writes its file, which is part of its work. */
export async function benchSlope(): Promise<string> {
  const grid = await readGeoTiff(readFileSync(GROUND), 'delft');
  const many = tiled(grid);
  const cells = many.columns * many.rows;
  const perMillion = (work: () => void): number => {
    const times = Array.from({ length: ROUNDS }, () => {
      const start = process.cpuUsage();
      work();
      return process.cpuUsage(start).user / cells;
    });
    return quantile(times, 0.5);
  };
  const horn = perMillion(() => {
    for (let row = 0; row < many.rows; row++)
      for (let column = 0; column < many.columns; column++) cellSlopePct(many, column, row, { xM: 0.5, yM: 0.5 });
  });
  const planes = perMillion(() => felt(many, 0.5));
  const wide = perMillion(() => felt(many, 2.5));
  const peer = gdaldem(cells);
  const row = (name: string, seconds: number): string[] => [
    name,
    seconds.toFixed(3),
    typeof peer === 'number' ? `${(peer / seconds).toFixed(2)} x` : '',
  ];
  return [
    `Slope of ${(cells / 1e6).toFixed(1)} million cells, processor seconds per million, median of ${ROUNDS}`,
    table([
      ['', 's per million', 'peer : ours'],
      row('Horn, cell by cell', horn),
      row('planes over 0.5 m (3 x 3 cells)', planes),
      row('planes over 2.5 m (5 x 5 cells)', wide),
      typeof peer === 'number' ? ['gdaldem slope (Horn), with its file', peer.toFixed(3), ''] : [peer, '', ''],
    ]),
  ].join('\n\n');
}

function felt(grid: ElevationGrid, wheelBaseM: number): void {
  const crs = crsByEpsg(grid.epsg);
  if (crs === undefined) return;
  const [originLonDeg, originLatDeg] = crsConverter(crs).toLonLat(grid.firstCentreX, grid.firstCentreY);
  const map = gridMap(grid, crs, { originLonDeg, originLatDeg }, { minX: 0, minY: -10, maxX: 10, maxY: 0 });
  slopeField(grid, map, { fromColumn: 0, fromRow: 0, columns: grid.columns, rows: grid.rows }, wheelBaseM);
}

function tiled(grid: ElevationGrid): ElevationGrid {
  const [columns, rows] = [grid.columns * TILED, grid.rows * TILED];
  const heightsM = Float32Array.from({ length: columns * rows }, (_, i) => {
    const [column, row] = [(i % columns) % grid.columns, Math.floor(i / columns) % grid.rows];
    return grid.heightsM[row * grid.columns + column];
  });
  return { ...grid, columns, rows, heightsM };
}

/** Processor seconds per million cells of gdaldem on as many cells, its start included (milliseconds); a message where it is not installed. */
function gdaldem(cells: number): number | string {
  const folder = mkdtempSync(join(tmpdir(), 'loopwright-slope-'));
  const big = join(folder, 'big.tif');
  try {
    const ground = fileURLToPath(GROUND);
    const percent = `${100 * TILED}%`;
    execFileSync('gdal_translate', ['-q', '-outsize', percent, percent, ground, big], { stdio: 'pipe' });
    const seconds = (file: string): number =>
      quantile(
        Array.from({ length: ROUNDS }, () => {
          const timed = `TIMEFORMAT=%U; time gdaldem slope -q -p "${file}" "${folder}/out.tif"`;
          return Number(spawnSync('bash', ['-c', timed], { encoding: 'utf8' }).stderr);
        }),
        0.5,
      );
    return seconds(big) / (cells / 1e6);
  } catch (error) {
    return `gdaldem skipped: ${error instanceof Error ? error.message.split('\n')[0] : String(error)}`;
  } finally {
    rmSync(folder, { recursive: true });
  }
}
