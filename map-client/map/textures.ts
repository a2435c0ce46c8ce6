import type { Ink } from '../ink.ts';
import { EDGE_TEXTURES } from './edge-textures.ts';
import { FILL_TEXTURES } from './fill-textures.ts';
import { MARKS } from './marks.ts';

/** Draws one tile or mark in CSS pixels on a clear ground; stroke and fill are set to the ink's line before. */
export type Brush = (context: CanvasRenderingContext2D, ink: Ink) => void;
export type Texture = { readonly width: number; readonly height: number; readonly brush: Brush };

/** Twice the CSS pixels: crisp on dense screens, and still when the map lies between two zoom levels. */
export const PIXEL_RATIO = 2;

const TEXTURES: Readonly<Record<string, Texture>> = { ...FILL_TEXTURES, ...EDGE_TEXTURES, ...MARKS };

/** The texture or mark of that name, or undefined. */
export function textureNamed(name: string): Texture | undefined {
  return TEXTURES[name];
}

/** The pixels of a texture in an ink, for the map or for a pattern of the key. */
export function drawTexture({ width, height, brush }: Texture, ink: Ink): ImageData {
  const canvas = document.createElement('canvas');
  canvas.width = width * PIXEL_RATIO;
  canvas.height = height * PIXEL_RATIO;
  const context = canvas.getContext('2d', { willReadFrequently: true });
  if (context === null) throw new Error('this browser gives no 2D canvas');
  context.scale(PIXEL_RATIO, PIXEL_RATIO);
  context.strokeStyle = ink.line;
  context.fillStyle = ink.line;
  context.lineCap = 'round';
  context.lineJoin = 'round';
  brush(context, ink);
  return context.getImageData(0, 0, canvas.width, canvas.height);
}
