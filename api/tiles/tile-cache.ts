import { createHash } from 'node:crypto';
import { gzipSync } from 'node:zlib';

type CachedTile = {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly gzipped: Uint8Array<ArrayBuffer>;
  readonly etag: string;
};

export type TileCache = (key: string, make: () => Promise<Uint8Array>) => Promise<CachedTile>;

/** Tiles as they were made, packed once; the oldest go when `bytesMax` is full. Keys hold the version of the data, so nothing is ever stale. */
export function tileCache(bytesMax: number): TileCache {
  const tiles = new Map<string, Promise<CachedTile>>();
  const sizes = new Map<string, number>();
  let total = 0;

  function forget(key: string): void {
    total -= sizes.get(key) ?? 0;
    sizes.delete(key);
    tiles.delete(key);
  }

  async function made(key: string, make: () => Promise<Uint8Array>): Promise<CachedTile> {
    const bytes = Uint8Array.from(await make());
    const gzipped = Uint8Array.from(gzipSync(bytes, { level: 6 }));
    const digest = createHash('sha256').update(bytes).digest('base64url').slice(0, 22);
    const size = bytes.length + gzipped.length + key.length;
    sizes.set(key, size);
    total += size;
    for (const oldest of tiles.keys()) {
      if (total <= bytesMax || oldest === key) break;
      forget(oldest);
    }
    return { bytes, gzipped, etag: `"${digest}"` };
  }

  return (key, make) => {
    const known = tiles.get(key);
    if (known !== undefined) {
      // Asked for again: among the youngest from now on.
      tiles.delete(key);
      tiles.set(key, known);
      return known;
    }
    const making = made(key, make).catch((error: unknown) => {
      forget(key);
      throw error;
    });
    tiles.set(key, making);
    return making;
  };
}
