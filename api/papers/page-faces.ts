import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { PageFace } from '#geo-core/index.ts';

const { resolve } = createRequire(import.meta.url);
const CUTS = [
  ['Alegreya', 'alegreya', '500', 'normal'],
  ['Alegreya', 'alegreya', '500', 'italic'],
  ['Source Sans 3', 'source-sans-3', '400', 'normal'],
  ['Source Sans 3', 'source-sans-3', '600', 'normal'],
] as const;

let read: readonly PageFace[] | undefined;

/** The Latin faces for pages that need nothing else, read once; other letters are left to the reader's own faces. */
export function pageFaces(): readonly PageFace[] {
  read ??= CUTS.map(([family, folder, weight, style]) => ({
    family,
    weight,
    style,
    base64: readFileSync(resolve(`@fontsource/${folder}/files/${folder}-latin-${weight}-${style}.woff2`)).toString(
      'base64',
    ),
  }));
  return read;
}
