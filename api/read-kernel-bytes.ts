import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

/** The WebAssembly of the polygon kernel, from the installed package. */
export function readKernelBytes(): Uint8Array {
  return readFileSync(createRequire(import.meta.url).resolve('clipper2-wasm/dist/es/clipper2z.wasm'));
}
