import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { initWasm, Resvg } from '@resvg/resvg-wasm';
import { FACES, faceBytes } from '#api/papers/pdf/faces.ts';
import { FORMATS } from '#geo-core/index.ts';
import type { FileFormat } from './file-format.ts';

export const WIDTH_PX = { least: 100, most: 6000, standard: 2400 } as const;

const { resolve } = createRequire(import.meta.url);
let ready: Promise<void> | undefined;

/** The drawing as a picture: an A3 sheet `widthPx` wide (by default 145 dots an inch), in the faces that papers are set in. */
export const mapImage: FileFormat = {
  id: 'png',
  mediaType: 'image/png',
  extension: 'png',
  title: 'PNG: the drawing as a picture',
  async write(plan, { widthPx = WIDTH_PX.standard }) {
    ready ??= initWasm(readFileSync(resolve('@resvg/resvg-wasm/index_bg.wasm')));
    await ready;
    const drawing = FORMATS.find(({ id }) => id === 'svg')?.write(plan);
    if (drawing === undefined) throw new Error('there is no drawing to make a picture of');
    const sheet = new Resvg(drawing, {
      fitTo: { mode: 'width', value: widthPx },
      font: { fontBuffers: FACES.map(faceBytes), sansSerifFamily: 'Source Sans 3', serifFamily: 'Alegreya' },
    });
    try {
      const picture = sheet.render();
      try {
        return Uint8Array.from(picture.asPng());
      } finally {
        picture.free();
      }
    } finally {
      sheet.free();
    }
  },
};
