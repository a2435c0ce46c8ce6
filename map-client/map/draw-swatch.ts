import type { Ink } from '../ink.ts';
import type { Swatch } from '../layers/swatch.ts';
import { drawTexture, PIXEL_RATIO, textureNamed } from './textures.ts';

/** Draws a line of the key on its canvas (CSS pixels times `PIXEL_RATIO`), as it looks on the sheet. */
export function drawSwatch(canvas: HTMLCanvasElement, swatch: Swatch, ink: Ink): void {
  const context = canvas.getContext('2d');
  if (context === null) return;
  const [width, height] = [canvas.width / PIXEL_RATIO, canvas.height / PIXEL_RATIO];
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.clearRect(0, 0, canvas.width, canvas.height);
  context.scale(PIXEL_RATIO, PIXEL_RATIO);
  context.strokeStyle = ink.line;
  switch (swatch.type) {
    case 'wash':
      context.fillStyle = ink[swatch.wash];
      context.fillRect(2, 3, width - 4, height - 6);
      if (swatch.texture !== null) tile(context, swatch.texture, ink, [2, 3, width - 4, height - 6]);
      context.strokeStyle = swatch.outline === undefined ? ink.soft : ink.line;
      context.lineWidth = swatch.outline ?? 1;
      context.strokeRect(2, 3, width - 4, height - 6);
      return;
    case 'edge':
      context.fillStyle = ink.lawn;
      context.fillRect(2, 2, width - 4, height / 2 - 2);
      tile(context, swatch.texture, ink, [2, height / 2 + 0.5, width - 4, 10]);
      context.strokeStyle = ink.soft;
      context.lineWidth = 1;
      stroke(context, [2, height / 2], [width - 2, height / 2]);
      return;
    case 'mark':
      stamp(context, swatch.mark, ink, width / 2, height / 2, 0);
      return;
    case 'double':
      context.lineWidth = 1.2;
      for (const dy of [-1.8, 1.8]) stroke(context, [2, height / 2 + dy], [width - 2, height / 2 + dy]);
      return;
    case 'line':
      context.strokeStyle = ink[swatch.tone];
      context.lineWidth = swatch.width;
      context.setLineDash([...(swatch.dash ?? [])]);
      stroke(context, [2, height / 2], [width - 2, height / 2]);
      context.setLineDash([]);
      if (swatch.mark !== undefined) stamp(context, swatch.mark, ink, width / 2, height / 2, Math.PI / 2);
      return;
  }
}

function stroke(context: CanvasRenderingContext2D, from: [number, number], to: [number, number]): void {
  context.beginPath();
  context.moveTo(...from);
  context.lineTo(...to);
  context.stroke();
}

/** Fills a box (CSS pixels) with a texture. */
function tile(
  context: CanvasRenderingContext2D,
  name: string,
  ink: Ink,
  [x, y, width, height]: [number, number, number, number],
): void {
  const pattern = context.createPattern(pixels(name, ink), 'repeat');
  if (pattern === null) return;
  pattern.setTransform(new DOMMatrix().translate(x, y).scale(1 / PIXEL_RATIO));
  context.fillStyle = pattern;
  context.fillRect(x, y, width, height);
}

function stamp(context: CanvasRenderingContext2D, name: string, ink: Ink, x: number, y: number, turn: number): void {
  const image = pixels(name, ink);
  const [width, height] = [image.width / PIXEL_RATIO, image.height / PIXEL_RATIO];
  context.save();
  context.translate(x, y);
  context.rotate(turn);
  const size = Math.min(1, 28 / height);
  context.drawImage(image, (-width / 2) * size, (-height / 2) * size, width * size, height * size);
  context.restore();
}

function pixels(name: string, ink: Ink): HTMLCanvasElement {
  const texture = textureNamed(name);
  const canvas = document.createElement('canvas');
  if (texture === undefined) return canvas;
  canvas.width = texture.width * PIXEL_RATIO;
  canvas.height = texture.height * PIXEL_RATIO;
  canvas.getContext('2d')?.putImageData(drawTexture(texture, ink), 0, 0);
  return canvas;
}
