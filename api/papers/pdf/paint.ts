import type { Attributes, Element, MarkUp } from '#geo-core/index.ts';
import type { FaceStyle } from './faces.ts';
import type { Hatch } from './hatches.ts';
import { type Doc, textWidth, writeText } from './write-text.ts';

export type Brush = { readonly doc: Doc; readonly hatches: ReadonlyMap<string, Hatch> };

/** Paints what the drawings of the core are made of: groups, clipped sheets, rectangles, circles, paths and lines of text. */
export function paint(brush: Brush, piece: MarkUp): void {
  if ('words' in piece) return;
  const { doc } = brush;
  const { attributes, children } = piece;
  switch (piece.name) {
    case 'g':
      doc.save();
      transform(doc, attributes.transform);
      for (const child of children) paint(brush, child);
      doc.restore();
      return;
    case 'svg': {
      const { x, y, width, height, viewBox } = attributes;
      const [left, top] = String(viewBox).split(' ').map(Number);
      doc.save();
      doc.rect(Number(x), Number(y), Number(width), Number(height)).clip();
      doc.translate(Number(x) - left, Number(y) - top);
      for (const child of children) paint(brush, child);
      doc.restore();
      return;
    }
    case 'text':
      paintText(doc, piece);
      return;
    case 'rect':
    case 'circle':
    case 'path':
      paintShape(brush, piece);
      return;
    default:
      throw new Error(`a drawing has no <${piece.name}>`);
  }
}

/** `translate(x y)` and `rotate(degrees)` or `rotate(degrees x y)`, one after the other. */
function transform(doc: Doc, value: string | number | undefined): void {
  for (const [, kind, list] of String(value ?? '').matchAll(/(translate|rotate)\(([^)]*)\)/g)) {
    const [a, b, c] = list.split(/[ ,]+/).map(Number);
    if (kind === 'translate') doc.translate(a, b);
    else doc.rotate(a, { origin: b === undefined ? [0, 0] : [b, c] });
  }
}

function paintShape({ doc, hatches }: Brush, { name, attributes }: Element): void {
  const { fill = '#000000', stroke } = attributes;
  const isFilled = fill !== 'none';
  const isStroked = stroke !== undefined && stroke !== 'none';
  if (!isFilled && !isStroked) return;
  doc.save();
  transform(doc, attributes.transform);
  if (isStroked) pen(doc, attributes);
  outline(doc, name, attributes);
  const rule = attributes['fill-rule'] === 'evenodd' ? 'even-odd' : 'non-zero';
  const colour = colourOf(String(fill), hatches);
  if (isFilled && isStroked) doc.fillAndStroke(colour, String(stroke), rule);
  else if (isFilled) doc.fill(colour, rule);
  else doc.stroke(String(stroke));
  doc.restore();
}

function colourOf(fill: string, hatches: ReadonlyMap<string, Hatch>): PDFKit.Mixins.ColorValue {
  const [, id] = /^url\(#([\w-]+)\)$/.exec(fill) ?? [];
  if (id === undefined) return fill;
  const hatch = hatches.get(id);
  if (hatch === undefined) throw new Error(`there is no hatch "${id}"`);
  return [hatch.pattern, hatch.colour];
}

function pen(doc: Doc, attributes: Attributes): void {
  doc.lineWidth(Number(attributes['stroke-width'] ?? 1));
  const cap = attributes['stroke-linecap'];
  if (cap === 'round') doc.lineCap(cap);
  const join = attributes['stroke-linejoin'];
  if (join === 'round') doc.lineJoin(join);
  const dashes = attributes['stroke-dasharray'];
  // pdfkit writes a dash pattern only through `dash`, whose first length stands for all where no more are given.
  if (dashes !== undefined) doc.addContent(`[${dashes}] 0 d`);
}

function outline(doc: Doc, name: string, attributes: Attributes): void {
  const { x, y, width, height, rx, cx, cy, r, d } = attributes;
  if (name === 'circle') doc.circle(Number(cx), Number(cy), Number(r));
  else if (name === 'path') doc.path(String(d));
  else if (rx === undefined) doc.rect(Number(x ?? 0), Number(y ?? 0), Number(width), Number(height));
  else doc.roundedRect(Number(x ?? 0), Number(y ?? 0), Number(width), Number(height), Number(rx));
}

function paintText(doc: Doc, { attributes, children }: Element): void {
  const words = children.map((child) => ('words' in child ? child.words : '')).join('');
  if (words === '') return;
  const size = Number(attributes['font-size']);
  const style = styleOf(attributes);
  const width = textWidth(doc, words, { style, size });
  const anchor = attributes['text-anchor'];
  const x = Number(attributes.x) - (anchor === 'middle' ? width / 2 : anchor === 'end' ? width : 0);
  const y = Number(attributes.y);
  if (attributes['paint-order'] === 'stroke') halo(doc, words, x, y, style, attributes);
  writeText(doc, words, x, y, { style, size, colour: String(attributes.fill) });
}

/** The rim of the ground around the letters, as an outline under them: drawn, not told twice. */
function halo(doc: Doc, words: string, x: number, y: number, style: FaceStyle, attributes: Attributes): void {
  const size = Number(attributes['font-size']);
  const width = textWidth(doc, words, { style, size });
  const rim = Number(attributes['stroke-width']) / 2;
  doc.save().fillOpacity(0.82);
  doc
    .roundedRect(x - rim, y - 0.72 * size - rim, width + 2 * rim, 0.92 * size + 2 * rim, rim)
    .fill(String(attributes.stroke));
  doc.restore();
}

function styleOf(attributes: Attributes): FaceStyle {
  if (String(attributes['font-family']).startsWith('Alegreya'))
    return attributes['font-style'] === 'italic' ? 'italic' : 'serif';
  return Number(attributes['font-weight'] ?? 400) >= 600 ? 'bold' : 'sans';
}
