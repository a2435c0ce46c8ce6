import type { MarkUp } from '#geo-core/formats/drawing/mark-up.ts';
import type { Field } from '#geo-core/formats/drawing/placement.ts';

type Box = readonly [left: number, top: number, right: number, bottom: number];

const NOTHING: Box = [
  Number.POSITIVE_INFINITY,
  Number.POSITIVE_INFINITY,
  Number.NEGATIVE_INFINITY,
  Number.NEGATIVE_INFINITY,
];
/** Signs that are turned or moved, and labels, reach this far from their place, millimetres. */
const REACH_MM = 40;

/** Marks of a large drawing -> those that a field of it can show. */
export function boxed(marks: readonly MarkUp[]): (field: Field) => MarkUp[] {
  const boxes = marks.map(boxOf);
  return ({ x, y, width, height }) =>
    marks.filter((_, i) => {
      const [left, top, right, bottom] = boxes[i];
      return left <= x + width && right >= x && top <= y + height && bottom >= y;
    });
}

function boxOf(mark: MarkUp): Box {
  if ('words' in mark) return NOTHING;
  const { attributes, children, name } = mark;
  const { transform, d, x, y, width, height, cx, cy, r } = attributes;
  const [, movedX, movedY] = /translate\((-?[\d.]+)[ ,]+(-?[\d.]+)\)/.exec(String(transform ?? '')) ?? [];
  if (movedX !== undefined) return around(Number(movedX), Number(movedY), REACH_MM);
  if (d !== undefined) return pathBox(String(d));
  if (cx !== undefined) return around(Number(cx), Number(cy), Number(r));
  if (name === 'text') return around(Number(x), Number(y), REACH_MM);
  if (x !== undefined) return [Number(x), Number(y), Number(x) + Number(width), Number(y) + Number(height)];
  return children.map(boxOf).reduce(union, NOTHING);
}

function around(x: number, y: number, reach: number): Box {
  return [x - reach, y - reach, x + reach, y + reach];
}

function union(a: Box, b: Box): Box {
  return [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])];
}

/** Of path data with absolute M and L only, as drawings place what they take from a plan. */
function pathBox(d: string): Box {
  let [left, top, right, bottom] = NOTHING;
  for (const [, x, y] of d.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)) {
    [left, right] = [Math.min(left, Number(x)), Math.max(right, Number(x))];
    [top, bottom] = [Math.min(top, Number(y)), Math.max(bottom, Number(y))];
  }
  return [left, top, right, bottom];
}
