import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

import { unwrapWoff } from './unwrap-woff.ts';

/** Both families are under the SIL Open Font License 1.1, which lets documents embed them. */
const STYLES = {
  serif: ['alegreya', '500-normal'],
  italic: ['alegreya', '500-italic'],
  sans: ['source-sans-3', '400-normal'],
  bold: ['source-sans-3', '600-normal'],
} as const;
export type FaceStyle = keyof typeof STYLES;

/** Files of a family by what they hold, as their makers cut them (unicode-range of the packages' style sheets). */
const SUBSETS = [
  ['latin', /[\u0020-\u00ff\u0131\u0152\u0153\u02c6\u02da\u02dc\u2000-\u201e\u2020-\u206f\u20ac\u2122\u2212\u2215]/],
  ['latin-ext', /[\u0100-\u02ba\u1e00-\u1e9f\u1ef2-\u1eff\u20a0-\u20ab\u20ad-\u20c0]/],
  ['greek', /[\u0370-\u03ff]/],
  ['cyrillic', /[\u0401\u0410-\u044f\u0451]/],
] as const;
type Subset = (typeof SUBSETS)[number][0];

export type FaceName = `${FaceStyle} ${Subset}`;
export type Run = { readonly face: FaceName; readonly text: string };

const { resolve } = createRequire(import.meta.url);
const bytes = new Map<FaceName, Uint8Array>();

/** The font file of a face, read once. */
export function faceBytes(face: FaceName): Uint8Array {
  const known = bytes.get(face);
  if (known !== undefined) return known;
  const [style, subset] = face.split(' ');
  const [family, cut] = STYLES[style as FaceStyle];
  const read = unwrapWoff(readFileSync(resolve(`@fontsource/${family}/files/${family}-${subset}-${cut}.woff`)));
  bytes.set(face, read);
  return read;
}

/** All faces by name. */
export const FACES: readonly FaceName[] = (Object.keys(STYLES) as FaceStyle[]).flatMap((style) =>
  SUBSETS.map(([subset]): FaceName => `${style} ${subset}`),
);

/**
 * Text cut into runs of one face each. Thin spaces become plain ones that hold as well, since the faces lack them; letters that
 * no face has become question marks.
 */
export function runsOf(text: string, style: FaceStyle): Run[] {
  const runs: { face: FaceName; text: string }[] = [];
  for (const letter of text
    .normalize('NFC')
    .replace(/[\u202f\u2009]/g, '\u00a0')
    .replace(/\p{Cc}/gu, ' ')) {
    const subset = SUBSETS.find(([, holds]) => holds.test(letter))?.[0];
    const face: FaceName = `${style} ${subset ?? 'latin'}`;
    const last = runs.at(-1);
    const shown = subset === undefined ? '?' : letter;
    if (last?.face === face) last.text += shown;
    else runs.push({ face, text: shown });
  }
  return runs;
}
