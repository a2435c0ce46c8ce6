import { INK, SANS, SERIF } from './ink.ts';
import { type Attributes, element, type MarkUp, text } from './mark-up.ts';

export type Anchor = 'start' | 'middle' | 'end';

/** A line of figures and plain words, `size` millimetres high. */
export function sans(
  words: string,
  x: number,
  y: number,
  size: number,
  anchor: Anchor = 'start',
  more: Attributes = {},
): MarkUp {
  const style = { x, y, 'font-family': SANS, 'font-size': size, 'text-anchor': anchor, fill: INK.line };
  return element('text', { ...style, style: 'font-variant-numeric: tabular-nums', ...more }, oneLine(words));
}

/** A title or a name. */
export function serif(
  words: string,
  x: number,
  y: number,
  size: number,
  anchor: Anchor = 'start',
  more: Attributes = {},
): MarkUp {
  const style = { x, y, 'font-family': SERIF, 'font-size': size, 'text-anchor': anchor, fill: INK.line };
  return element('text', { ...style, ...more }, oneLine(words));
}

/** Words of a drawing never wrap, so spaces need not hold them together. */
function oneLine(words: string): MarkUp {
  return text(words.replace(/[\u00a0\u202f]/g, ' '));
}

/** Lets a label stand on lines: a rim of the ground around its letters. */
export function haloed(ground: string): Attributes {
  return { 'paint-order': 'stroke', stroke: ground, 'stroke-width': 0.9, 'stroke-linejoin': 'round' };
}

/** Words broken into lines of about `width` millimetres; half the height of a letter is taken for its mean width. */
export function wrapped(words: string, width: number, size: number): string[] {
  const most = Math.max(8, Math.floor(width / (size * 0.47)));
  const lines: string[] = [];
  let line = '';
  for (const word of words.split(/\s+/)) {
    if (line !== '' && line.length + 1 + word.length > most) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return line === '' ? lines : [...lines, line];
}
