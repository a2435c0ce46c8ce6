import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { ClientFile, ClientFiles } from './client.module.ts';

const MEDIA_TYPES: Readonly<Record<string, string>> = {
  asc: 'text/plain; charset=utf-8',
  css: 'text/css; charset=utf-8',
  csv: 'text/csv; charset=utf-8',
  geojson: 'application/geo+json',
  html: 'text/html; charset=utf-8',
  ico: 'image/x-icon',
  js: 'text/javascript; charset=utf-8',
  json: 'application/json',
  mjs: 'text/javascript; charset=utf-8',
  png: 'image/png',
  svg: 'image/svg+xml',
  tif: 'image/tiff',
  ttf: 'font/ttf',
  txt: 'text/plain; charset=utf-8',
  wasm: 'application/wasm',
  webmanifest: 'application/manifest+json',
  woff2: 'font/woff2',
};
const PACKED = new Set(['png', 'tif', 'woff2']);

/**
 * Reads a folder of built files into memory, once, so that no path of a request ever reaches the disk. A folder that is not there
 * gives no files.
 */
export function readClientFiles(folder: string): ClientFiles {
  const files = new Map<string, ClientFile>();
  for (const path of listFiles(folder)) {
    const bytes = Uint8Array.from(readFileSync(path));
    const extension = path.slice(path.lastIndexOf('.') + 1).toLowerCase();
    files.set(relative(folder, path).split(sep).join('/'), {
      bytes,
      ...(!PACKED.has(extension) && { gzipped: Uint8Array.from(gzipSync(bytes)) }),
      mediaType: MEDIA_TYPES[extension] ?? 'application/octet-stream',
      etag: `"${createHash('sha256').update(bytes).digest('base64url').slice(0, 22)}"`,
    });
  }
  return files;
}

function listFiles(folder: string): string[] {
  let entries: ReturnType<typeof readEntries>;
  try {
    entries = readEntries(folder);
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return [];
    throw error;
  }
  return entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name));
}

function readEntries(folder: string) {
  return readdirSync(folder, { recursive: true, withFileTypes: true });
}
