import type { Element, MarkUp } from './mark-up.ts';
import type { Field } from './placement.ts';

/** Mean width of a letter, as a share of its height: a little more than of either face. */
const LETTER_WIDTH = 0.5;
const RIM_MM = 1.5;

/** Labels that would run over the edge of the field are moved in as far as needed; those that lie outside by themselves go. */
export function keepInside(marks: readonly MarkUp[], field: Field): MarkUp[] {
  return marks.flatMap((mark) => {
    if ('words' in mark || mark.attributes.transform !== undefined) return [mark];
    if (mark.name === 'g') return [{ ...mark, children: keepInside(mark.children, field) }];
    return mark.name === 'text' ? movedIn(mark, field) : [mark];
  });
}

function movedIn(label: Element, { x: left, y: top, width, height }: Field): Element[] {
  const { x, y, 'font-size': size, 'text-anchor': anchor } = label.attributes;
  const letters = label.children.reduce((sum, child) => sum + ('words' in child ? child.words.length : 0), 0);
  const wide = letters * Number(size) * LETTER_WIDTH;
  const before = anchor === 'middle' ? wide / 2 : anchor === 'end' ? wide : 0;
  const [atX, atY] = [Number(x), Number(y)];
  if (atX < left || atX > left + width || atY < top || atY > top + height) return [];
  const least = left + before + RIM_MM;
  const most = left + width - (wide - before) - RIM_MM;
  const movedX = Math.max(least, Math.min(most, atX));
  const movedY = Math.max(top + Number(size) + RIM_MM, Math.min(top + height - RIM_MM, atY));
  return [{ ...label, attributes: { ...label.attributes, x: movedX, y: movedY } }];
}
