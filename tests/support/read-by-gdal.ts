import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { PlanGeometry } from '#geo-core/model/plan.ts';

export const hasGdal = spawnSync('ogrinfo', ['--version']).status === 0;

export type ForeignFeature = { readonly properties: Record<string, unknown>; readonly geometry: PlanGeometry };

/** What GDAL's own reader finds in a file: the features of one layer as GeoJSON, coordinates as they stand in the file. */
export function readByGdal(
  bytes: string | Uint8Array,
  extension: string,
  layer: string,
  options: readonly string[] = [],
): ForeignFeature[] {
  const folder = mkdtempSync(join(tmpdir(), 'gdal-'));
  try {
    const [file, out] = [join(folder, `in.${extension}`), join(folder, 'out.json')];
    writeFileSync(file, bytes);
    const args = ['-f', 'GeoJSON', '-lco', 'RFC7946=NO', '-lco', 'COORDINATE_PRECISION=10', ...options];
    execFileSync('ogr2ogr', [...args, out, file, layer], { stdio: ['ignore', 'ignore', 'pipe'] });
    return JSON.parse(readFileSync(out, 'utf8')).features;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** The names of the layers that GDAL lists. */
export function layersByGdal(bytes: string | Uint8Array, extension: string): string[] {
  const folder = mkdtempSync(join(tmpdir(), 'gdal-'));
  try {
    const file = join(folder, `in.${extension}`);
    writeFileSync(file, bytes);
    const listed = execFileSync('ogrinfo', ['-q', file], { encoding: 'utf8' });
    return [...listed.matchAll(/^\d+: ([^(\n]+?)(?: \(.*)?$/gm)].map(([, name]) => name);
  } finally {
    rmSync(folder, { recursive: true });
  }
}
