import type { Brush, Texture } from './textures.ts';

const FULL_TURN = 2 * Math.PI;

/** Symbols of the drawing, all our own. Those with a heading point up at heading 0. */
export const MARKS: Readonly<Record<string, Texture>> = {
  'mark-tick': mark(14, (context, ink) => {
    context.lineWidth = 1.6;
    context.strokeStyle = ink.line;
    path(context, [2.5, 9.5], [7, 5], [11.5, 9.5]);
    context.stroke();
  }),
  'mark-arrow': mark(12, (context) => {
    path(context, [6, 0.5], [9, 10], [3, 10]);
    context.fill();
  }),
  'mark-cross': mark(11, (context, ink) => {
    context.strokeStyle = ink.faint;
    context.lineWidth = 0.8;
    path(context, [5.5, 1], [5.5, 10]);
    context.stroke();
    path(context, [1, 5.5], [10, 5.5]);
    context.stroke();
  }),
  /** A plate across the wire with a shed roof before it: the machine drives in under the roof, along the wire. */
  'mark-station': mark(38, (context, ink) => {
    disc(context, 19, 19, 15, ink.paper);
    context.lineWidth = 2;
    context.beginPath();
    context.arc(19, 19, 15, 0, FULL_TURN);
    context.stroke();
    path(context, [10, 27], [10, 17], [19, 8.5], [28, 17], [28, 27]);
    context.lineWidth = 2.4;
    context.stroke();
    disc(context, 19, 21, 3.6, ink.line);
  }),
  'mark-signal-unit': mark(30, (context, ink) => {
    disc(context, 15, 15, 11, ink.paper);
    context.lineWidth = 2;
    context.beginPath();
    context.arc(15, 15, 11, 0, FULL_TURN);
    context.stroke();
    path(context, [8.5, 15], [11.5, 15], [13.5, 9.5], [16.5, 20.5], [18.5, 15], [21.5, 15]);
    context.lineWidth = 1.8;
    context.stroke();
  }),
  'mark-candidate': mark(22, (context, ink) => {
    disc(context, 11, 11, 8.5, ink.paper);
    context.setLineDash([3, 2]);
    context.lineWidth = 1.3;
    context.beginPath();
    context.arc(11, 11, 8.5, 0, FULL_TURN);
    context.stroke();
  }),
  'mark-outlet': mark(20, (context, ink) => {
    context.fillStyle = ink.paper;
    context.fillRect(2, 2, 16, 16);
    context.lineWidth = 1.6;
    context.strokeRect(2, 2, 16, 16);
    disc(context, 7, 10, 1.8, ink.line);
    disc(context, 13, 10, 1.8, ink.line);
  }),
  'mark-sprinkler': mark(20, (context, ink) => {
    disc(context, 10, 14, 2, ink.line);
    context.lineWidth = 1.1;
    for (const radius of [5.5, 9]) {
      context.beginPath();
      context.arc(10, 14, radius, Math.PI * 1.2, Math.PI * 1.8);
      context.stroke();
    }
  }),
  'mark-tree': mark(14, (context, ink) => disc(context, 7, 7, 2.2, ink.line)),
  'mark-crown': mark(28, (context, ink) => {
    disc(context, 14, 14, 12, ink.planting);
    context.strokeStyle = ink.soft;
    context.lineWidth = 1;
    context.beginPath();
    context.arc(14, 14, 12, 0, FULL_TURN);
    context.stroke();
    for (let spoke = 0; spoke < 9; spoke++) {
      const angle = (spoke / 9) * FULL_TURN;
      const inner = spoke % 2 === 0 ? 2 : 5;
      path(
        context,
        [14 + inner * Math.cos(angle), 14 + inner * Math.sin(angle)],
        [14 + 10 * Math.cos(angle), 14 + 10 * Math.sin(angle)],
      );
      context.stroke();
    }
    disc(context, 14, 14, 2, ink.line);
  }),
  'mark-splice': mark(20, (context, ink) => {
    disc(context, 10, 10, 7, ink.paper);
    context.lineWidth = 1.6;
    context.beginPath();
    context.arc(10, 10, 7, 0, FULL_TURN);
    context.stroke();
    path(context, [3, 10], [8.5, 10]);
    context.stroke();
    path(context, [11.5, 10], [17, 10]);
    context.stroke();
    path(context, [8.5, 6.5], [11.5, 13.5]);
    context.stroke();
  }),
  'mark-peg-trial': mark(14, (context, ink) => disc(context, 7, 7, 3.4, ink.line)),
  'mark-peg-final': mark(14, (context, ink) => {
    disc(context, 7, 7, 3, ink.paper);
    context.lineWidth = 1.2;
    context.beginPath();
    context.arc(7, 7, 3, 0, FULL_TURN);
    context.stroke();
  }),
  'mark-width': mark(38, (context) => {
    context.lineWidth = 1.2;
    path(context, [2, 19], [36, 19]);
    context.stroke();
    path(context, [2, 19], [10, 16], [10, 22]);
    context.fill();
    path(context, [36, 19], [28, 16], [28, 22]);
    context.fill();
  }),
  'mark-weakest': mark(24, (context) => {
    context.lineWidth = 1.6;
    for (const radius of [3, 6.5, 10]) {
      context.beginPath();
      context.arc(12, 12, radius, 0, FULL_TURN);
      context.stroke();
    }
  }),
  'mark-check': mark(18, (context, ink) => {
    disc(context, 9, 9, 8, ink.paper);
    context.lineWidth = 2;
    path(context, [4.5, 9.5], [8, 13], [13.5, 5.5]);
    context.stroke();
  }),
  'mark-fault': mark(18, (context, ink) => {
    disc(context, 9, 9, 8, ink.paper);
    context.lineWidth = 2;
    path(context, [5, 5], [13, 13]);
    context.stroke();
    path(context, [13, 5], [5, 13]);
    context.stroke();
  }),
  'mark-place': mark(60, (context, ink) => {
    context.strokeStyle = ink.accent;
    context.lineWidth = 3;
    context.beginPath();
    context.arc(30, 30, 18, 0, FULL_TURN);
    context.stroke();
    context.lineWidth = 2;
    for (const [from, to] of [
      [
        [30, 2],
        [30, 12],
      ],
      [
        [30, 48],
        [30, 58],
      ],
      [
        [2, 30],
        [12, 30],
      ],
      [
        [48, 30],
        [58, 30],
      ],
    ] as const) {
      path(context, from, to);
      context.stroke();
    }
  }),
};

function mark(size: number, brush: Brush): Texture {
  return { width: size, height: size, brush };
}

function path(context: CanvasRenderingContext2D, ...points: readonly (readonly [number, number])[]): void {
  context.beginPath();
  for (const [x, y] of points) context.lineTo(x, y);
}

function disc(context: CanvasRenderingContext2D, x: number, y: number, radius: number, colour: string): void {
  context.fillStyle = colour;
  context.beginPath();
  context.arc(x, y, radius, 0, FULL_TURN);
  context.fill();
}
