import type { Brush, Texture } from './textures.ts';

/** Strips 10 px high that run along the far side of the lawn edge; the lawn lies along their upper side. */
export const EDGE_TEXTURES: Readonly<Record<string, Texture>> = {
  'edge-wall': strip(14, (context) => {
    context.fillRect(0, 1.5, 9, 5.5);
  }),
  'edge-fence': strip(22, (context) => {
    stroke(context, [0, 4], [22, 4]);
    stroke(context, [8.5, 1.5], [13.5, 6.5]);
    stroke(context, [13.5, 1.5], [8.5, 6.5]);
  }),
  'edge-hedge': strip(16, (context) => {
    context.lineWidth = 1.1;
    for (const x of [4, 12]) {
      context.beginPath();
      context.arc(x, 5, 4, Math.PI, 2 * Math.PI);
      context.stroke();
      context.beginPath();
      context.arc(x, 5, 4, 0, Math.PI);
      context.stroke();
    }
  }),
  'edge-step-up': strip(14, (context) => {
    stroke(context, [0, 2], [7, 2], [7, 7], [14, 7]);
    stroke(context, [3.5, 7], [3.5, 4]);
  }),
  'edge-step-down': strip(14, (context) => {
    stroke(context, [0, 2], [14, 2]);
    stroke(context, [4, 2], [4, 6]);
    stroke(context, [11, 2], [11, 6]);
  }),
  'edge-drop': strip(12, (context) => {
    context.lineWidth = 1.4;
    stroke(context, [0, 1.5], [12, 1.5]);
    stroke(context, [3, 1.5], [3, 9]);
    stroke(context, [9, 1.5], [9, 5]);
  }),
  'edge-water': strip(18, (context) => {
    context.lineWidth = 1.1;
    for (const y of [3, 7]) {
      context.beginPath();
      context.moveTo(0, y);
      context.bezierCurveTo(4.5, y - 4, 4.5, y - 4, 9, y);
      context.bezierCurveTo(13.5, y + 4, 13.5, y + 4, 18, y);
      context.stroke();
    }
  }),
  'edge-road': strip(20, (context) => {
    context.lineWidth = 1.4;
    stroke(context, [0, 2.5], [20, 2.5]);
    context.lineWidth = 1;
    stroke(context, [3, 7], [12, 7]);
  }),
  'edge-level-paving': strip(20, (context) => {
    context.lineWidth = 0.9;
    stroke(context, [0, 4.5], [20, 4.5]);
    stroke(context, [0, 8.5], [20, 8.5]);
    stroke(context, [5, 0], [5, 4.5]);
    stroke(context, [15, 4.5], [15, 8.5]);
  }),
  'edge-open-ground': strip(26, (context) => {
    context.lineWidth = 0.9;
    stroke(context, [6, 7], [4, 3]);
    stroke(context, [7, 7], [7, 2]);
    stroke(context, [8, 7], [10, 3]);
  }),
  'edge-planting': strip(20, (context) => {
    for (const [x, y, radius] of [
      [5, 4.5, 2.8],
      [14, 5.5, 2],
    ]) {
      context.beginPath();
      context.arc(x, y, radius, 0.5, 5.8);
      context.stroke();
    }
  }),
  'edge-unknown': strip(16, (context) => {
    context.beginPath();
    context.arc(4, 4, 0.9, 0, 2 * Math.PI);
    context.fill();
  }),
};

function strip(width: number, brush: Brush): Texture {
  return {
    width,
    height: 10,
    brush: (context, ink) => {
      context.strokeStyle = ink.soft;
      context.fillStyle = ink.soft;
      context.lineWidth = 1;
      context.lineCap = 'butt';
      brush(context, ink);
    },
  };
}

function stroke(context: CanvasRenderingContext2D, ...points: readonly (readonly [number, number])[]): void {
  context.beginPath();
  for (const [x, y] of points) context.lineTo(x, y);
  context.stroke();
}
