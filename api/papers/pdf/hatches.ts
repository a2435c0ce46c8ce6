import { type Element, HATCHES, type MarkUp } from '#geo-core/index.ts';
import type { Doc } from './write-text.ts';

/** A hatch of the drawing as a tiling pattern and the colour of its strokes. */
export type Hatch = { readonly pattern: PDFKit.PDFTilingPattern; readonly colour: string };

/** The hatches by their ids, anchored where the page's coordinates are now. */
export function hatchesOf(doc: Doc): ReadonlyMap<string, Hatch> {
  const hatches = new Map<string, Hatch>();
  for (const hatch of elementsOf(HATCHES)) {
    const { id, width, height, patternTransform } = hatch.attributes;
    const [, degrees] = /rotate\(([\d.]+)\)/.exec(String(patternTransform)) ?? [];
    doc.save();
    if (degrees !== undefined) doc.rotate(Number(degrees));
    const [w, h] = [Number(width), Number(height)];
    const pattern = doc.pattern([0, 0, w, h], w, h, elementsOf(hatch).map(strokes).join('\n'));
    const colour = colourOf(hatch);
    // The pattern takes its place when it is first used.
    doc.rect(0, 0, 0, 0).fill([pattern, colour]);
    doc.restore();
    hatches.set(String(id), { pattern, colour });
  }
  return hatches;
}

function elementsOf({ children }: Element): Element[] {
  return children.filter((child: MarkUp): child is Element => 'name' in child);
}

/** All strokes of one hatch have one colour. */
function colourOf(hatch: Element): string {
  const [first] = elementsOf(hatch);
  const { stroke, fill } = first.attributes;
  return String(stroke ?? fill);
}

/** Operators of a stroke or of a dot: what a hatch is made of. */
function strokes({ name, attributes }: Element): string {
  if (name === 'circle') {
    const { cx, cy, r } = attributes;
    return `${Number(r) * 2} w 1 J ${cx} ${cy} m ${Number(cx) + 0.001} ${cy} l S`;
  }
  return `${attributes['stroke-width']} w 1 J\n${pathOperators(String(attributes.d))} S`;
}

/** Path data of M, L, H, V, Q and their like small letters -> operators of a content stream. */
function pathOperators(d: string): string {
  const out: string[] = [];
  let [x, y] = [0, 0];
  for (const [, letter, list] of d.matchAll(/([a-z])([^a-z]*)/gi)) {
    const values = [...list.matchAll(/-?(?:\d+\.?\d*|\.\d+)/g)].map(([value]) => Number(value));
    const isRelative = letter === letter.toLowerCase();
    const [originX, originY] = isRelative ? [x, y] : [0, 0];
    switch (letter.toUpperCase()) {
      case 'H':
        x = originX + values[0];
        out.push(`${short(x)} ${short(y)} l`);
        break;
      case 'V':
        y = originY + values[0];
        out.push(`${short(x)} ${short(y)} l`);
        break;
      case 'Q': {
        const [cx, cy] = [originX + values[0], originY + values[1]];
        const [endX, endY] = [originX + values[2], originY + values[3]];
        const third = (from: number, to: number) => short(from + (2 / 3) * (to - from));
        out.push(
          `${third(x, cx)} ${third(y, cy)} ${third(endX, cx)} ${third(endY, cy)} ${short(endX)} ${short(endY)} c`,
        );
        [x, y] = [endX, endY];
        break;
      }
      case 'M':
      case 'L':
        [x, y] = [originX + values[0], originY + values[1]];
        out.push(`${short(x)} ${short(y)} ${letter.toUpperCase() === 'M' ? 'm' : 'l'}`);
        break;
      default:
        throw new Error(`a hatch has no ${letter}`);
    }
  }
  return out.join('\n');
}

function short(value: number): string {
  return String(Math.round(value * 1000) / 1000);
}
