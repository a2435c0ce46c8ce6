import type { Brush, Texture } from './textures.ts';

/** Seamless tiles for ground. Textures carry the meaning that a wash alone would leave to colour. */
export const FILL_TEXTURES: Readonly<Record<string, Texture>> = {
  'fill-lawn': tile(64, 64, (context, ink) => {
    context.strokeStyle = ink.faint;
    context.lineWidth = 0.8;
    for (const [x, y] of [
      [10, 14],
      [42, 24],
      [22, 46],
      [54, 54],
    ]) {
      line(context, x, y, x - 3, y - 5);
      line(context, x, y, x, y - 6.5);
      line(context, x, y, x + 3, y - 5);
    }
  }),
  'fill-paving': tile(24, 16, bond),
  'fill-crossing': tile(24, 16, bond),
  'fill-water': tile(36, 20, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 0.8;
    wave(context, 0, 5, 18);
    wave(context, 18, 15, 18);
    wave(context, -18, 15, 18);
  }),
  'fill-planting': tile(28, 28, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 0.8;
    for (const [x, y, radius] of [
      [7, 8, 3.6],
      [20, 12, 2.4],
      [12, 21, 2.8],
      [23, 24, 1.6],
    ]) {
      context.beginPath();
      context.arc(x, y, radius, 0.4, 5.6);
      context.stroke();
    }
  }),
  'fill-building': tile(8, 8, (context, ink) => {
    context.strokeStyle = ink.faint;
    context.lineWidth = 0.9;
    diagonal(context, 8, 1);
  }),
  'fill-obstacle': tile(6, 6, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    diagonal(context, 6, 1);
  }),
  'fill-keep-out': tile(14, 14, (context, ink) => {
    context.strokeStyle = ink.faint;
    context.lineWidth = 0.8;
    diagonal(context, 14, -1);
  }),
  'fill-no-wire': tile(20, 20, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    line(context, 7, 7, 13, 13);
    line(context, 13, 7, 7, 13);
  }),
  'fill-keep-out-loop': tile(13, 13, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 0.7;
    diagonal(context, 13, 1);
    diagonal(context, 13, -1);
  }),
  'fill-bay': tile(11, 11, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 0.7;
    line(context, 0, 5.5, 11, 5.5);
    line(context, 5.5, 0, 5.5, 11);
  }),
  'fill-steep': tile(14, 14, (context, ink) => {
    context.strokeStyle = ink.line;
    context.lineWidth = 1.1;
    line(context, 3.5, 2, 3.5, 9);
    line(context, 10.5, 9, 10.5, 12.5);
    line(context, 10.5, 0, 10.5, 2);
  }),
  // The falling lines of the cross-hatch, so that the two lie on each other where a keep-out's rim is mown by hand.
  'fill-hand-mow': tile(13, 13, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    diagonal(context, 13, -1);
  }),
  'fill-hand-mow-corner': tile(7, 7, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    diagonal(context, 7, -1);
  }),
  'fill-hand-mow-crossed': tile(13, 13, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    diagonal(context, 13, -1);
    diagonal(context, 13, 1);
  }),
  // Steps of shade, for the key: what the sheet lays over each other.
  'fill-visits': tile(42, 24, (context, ink) => {
    context.fillStyle = ink.line;
    for (const [step, from] of [0, 8, 16, 24, 32].entries()) {
      context.globalAlpha = 0.09 * (step + 1);
      context.fillRect(from, 0, 10, 24);
    }
    context.globalAlpha = 1;
  }),
  'fill-weak-signal': tile(32, 32, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    for (const radius of [4, 8, 12]) {
      context.beginPath();
      context.arc(16, 22, radius, Math.PI * 1.25, Math.PI * 1.75);
      context.stroke();
    }
  }),
  'fill-zone-narrow-passage': tile(24, 24, (context, ink) => {
    context.fillStyle = ink.soft;
    for (const [x, y] of [
      [6, 6],
      [18, 18],
    ]) {
      context.beginPath();
      context.arc(x, y, 1.1, 0, 2 * Math.PI);
      context.fill();
    }
  }),
  'fill-zone-isolated': tile(26, 26, (context, ink) => {
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    for (const [x, y] of [
      [7, 7],
      [20, 20],
    ]) {
      line(context, x - 3, y, x + 3, y);
      line(context, x, y - 3, x, y + 3);
    }
  }),
};

function tile(width: number, height: number, brush: Brush): Texture {
  return { width, height, brush };
}

function line(context: CanvasRenderingContext2D, ax: number, ay: number, bx: number, by: number): void {
  context.beginPath();
  context.moveTo(ax, ay);
  context.lineTo(bx, by);
  context.stroke();
}

/** Lines at 45 degrees that meet across the tile's sides; `lean` 1 rises to the right, -1 falls. */
function diagonal(context: CanvasRenderingContext2D, size: number, lean: 1 | -1): void {
  for (const shift of [-size, 0, size]) {
    if (lean === 1) line(context, shift - 2, size + 2, shift + size + 2, -2);
    else line(context, shift - 2, -2, shift + size + 2, size + 2);
  }
}

function wave(context: CanvasRenderingContext2D, x: number, y: number, length: number): void {
  context.beginPath();
  context.moveTo(x, y);
  context.bezierCurveTo(x + length / 4, y - 4, x + length / 4, y - 4, x + length / 2, y);
  context.bezierCurveTo(x + (3 * length) / 4, y + 4, x + (3 * length) / 4, y + 4, x + length, y);
  context.stroke();
}

/** Running bond: courses of paving, joints staggered. */
function bond(...[context, ink]: Parameters<Brush>): void {
  context.strokeStyle = ink.faint;
  context.lineWidth = 0.7;
  line(context, 0, 4, 24, 4);
  line(context, 0, 12, 24, 12);
  line(context, 6, 4, 6, 12);
  line(context, 18, 12, 18, 16);
  line(context, 18, 0, 18, 4);
}
