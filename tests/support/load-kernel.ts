import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { beforeAll } from 'vitest';
import { loadKernel } from '#geo-core/plane/kernel.ts';

/** Loads the polygon kernel before the tests of a file. */
export function useKernel(): void {
  beforeAll(async () => {
    const entry = createRequire(import.meta.url).resolve('clipper2-wasm/dist/es/clipper2z.wasm');
    await loadKernel(readFileSync(entry));
  });
}
