import serifItalicUrl from '@fontsource/alegreya/files/alegreya-latin-500-italic.woff2?url';
import serifUrl from '@fontsource/alegreya/files/alegreya-latin-500-normal.woff2?url';
import serifExtUrl from '@fontsource/alegreya/files/alegreya-latin-ext-500-normal.woff2?url';
import sansExtUrl from '@fontsource-variable/source-sans-3/files/source-sans-3-latin-ext-wght-normal.woff2?url';
import sansUrl from '@fontsource-variable/source-sans-3/files/source-sans-3-latin-wght-normal.woff2?url';

import { SANS, SERIF, SERIF_ITALIC } from './faces.ts';

const LATIN =
  'U+0000-00FF,U+0131,U+0152-0153,U+02BB-02BC,U+02C6,U+02DA,U+02DC,U+0304,U+0308,U+0329,U+2000-206F,U+20AC,U+2122,U+2191,U+2193,U+2212,U+2215,U+FEFF,U+FFFD';
const LATIN_EXT = 'U+0100-02BA,U+1E00-1E9F,U+1EF2-1EFF,U+2020,U+20A0-20AB,U+20AD-20C4';

const FACES: readonly [family: string, url: string, range: string, weight: string][] = [
  [SERIF, serifUrl, LATIN, '500'],
  [SERIF, serifExtUrl, LATIN_EXT, '500'],
  [SERIF_ITALIC, serifItalicUrl, LATIN, '500'],
  [SANS, sansUrl, LATIN, '200 900'],
  [SANS, sansExtUrl, LATIN_EXT, '200 900'],
];

/**
 * Both faces are under the SIL Open Font License 1.1: Alegreya for titles and names, Source Sans 3 for figures.
 * Makes the faces known to the page; a browser fetches a file when a character of its range is first written.
 */
export function addFonts(): void {
  for (const [family, url, unicodeRange, weight] of FACES) {
    document.fonts.add(new FontFace(family, `url(${url}) format('woff2')`, { unicodeRange, weight, display: 'swap' }));
  }
}
