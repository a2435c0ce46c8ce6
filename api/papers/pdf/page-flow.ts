import { HEAD_MM, MARGIN_MM, type Paper, SHEET_MM } from '#geo-core/index.ts';
import type { Brush } from './paint.ts';
import { type Lettering, textLines, textWidth, writeText } from './write-text.ts';

export const INK_ON_WHITE = { line: '#1f1e1a', soft: '#57534a', hair: '#b9b2a2' } as const;
export const HAIRLINE = 0.18;
/** Of text, as a multiple of its size. */
const LEADING = 1.42;
/** Under the last line of a page: the page number. */
const FOOT_MM = 20;

type PdfElement = PDFKit.PDFStructureElement;

/** Where the next thing goes on the page, in millimetres from its upper left corner. */
export type PageFlow = Brush & {
  readonly paper: Paper;
  readonly root: PdfElement;
  /** Left edge and width of the whole column, and of the text beside the headings. */
  readonly whole: { readonly x: number; readonly width: number };
  readonly beside: { readonly x: number; readonly width: number };
  y: number;
  /** Where the heading on the left ends. */
  headingBottom: number;
  /** Whether anything stands on the page yet. */
  isFresh: boolean;
  orientation: 'upright' | 'across';
};

const HEADING_COLUMN_MM = 44;

export function pageFlow(brush: Brush, paper: Paper, root: PdfElement): PageFlow {
  const width = SHEET_MM[paper.sheet].width - 2 * MARGIN_MM.upright;
  const x = MARGIN_MM.upright;
  return {
    ...brush,
    paper,
    root,
    whole: { x, width },
    beside: { x: x + HEADING_COLUMN_MM, width: width - HEADING_COLUMN_MM },
    y: MARGIN_MM.upright,
    headingBottom: 0,
    isFresh: true,
    orientation: 'upright',
  };
}

/** A new page; `scale` makes its unit the millimetre. */
export function newPage(flow: PageFlow, orientation: PageFlow['orientation'] = 'upright'): void {
  const { doc, paper } = flow;
  const { width, height } = SHEET_MM[paper.sheet];
  const size = orientation === 'upright' ? [width, height] : [height, width];
  doc.addPage({ size: size.map((mm) => mm * POINTS_PER_MM) as [number, number], margin: 0 });
  doc.scale(POINTS_PER_MM);
  flow.orientation = orientation;
  flow.y = orientation === 'upright' ? MARGIN_MM.upright : MARGIN_MM.across + HEAD_MM;
  flow.headingBottom = 0;
  flow.isFresh = true;
}

export const POINTS_PER_MM = 72 / 25.4;

export function roomMm({ paper, y }: PageFlow): number {
  return SHEET_MM[paper.sheet].height - FOOT_MM - y;
}

/** Goes to a new page where less than `needMm` is left. True where it did. */
export function ensureRoom(flow: PageFlow, needMm: number): boolean {
  if (flow.orientation === 'upright' && (roomMm(flow) >= needMm || flow.isFresh)) return false;
  newPage(flow);
  return true;
}

/** Draws something that is not told: rules, backgrounds, running heads. */
export function artifact({ doc }: Brush, draw: () => void): void {
  doc.markContent('Artifact', { type: 'Layout' });
  draw();
  doc.endMarkedContent();
}

/** Draws something as content of a structure element. */
export function content(
  { doc }: Brush,
  into: PdfElement,
  type: string,
  draw: () => void,
  more: PDFKit.Mixins.StructureElementOptions = {},
): PdfElement {
  const element = doc.struct(type, more, [draw]);
  into.add(element);
  return element;
}

export function lineHeight(size: number): number {
  return size * LEADING;
}

/** Height of text in a column. */
export function textHeight({ doc }: Brush, text: string, width: number, lettering: Omit<Lettering, 'colour'>): number {
  return textLines(doc, text, width, lettering).length * lineHeight(lettering.size);
}

export type TextPlace = { readonly x: number; readonly width: number; readonly align?: 'start' | 'end' };

/** Lines of text from the top at `y`; returns where they end. */
export function writeLines(
  { doc }: Brush,
  lines: readonly string[],
  { x, width, align = 'start' }: TextPlace,
  y: number,
  lettering: Lettering,
): number {
  const step = lineHeight(lettering.size);
  for (const [i, line] of lines.entries()) {
    const left = align === 'end' ? x + width - textWidth(doc, line, lettering) : x;
    writeText(doc, line, left, y + i * step + lettering.size * 1.05, lettering);
  }
  return y + lines.length * step;
}

/** Text in a column as a structure element, over as many pages as it takes. */
export function flowText(
  flow: PageFlow,
  into: PdfElement,
  type: string,
  text: string,
  place: TextPlace,
  lettering: Lettering,
  more: PDFKit.Mixins.StructureElementOptions = {},
): void {
  const lines = textLines(flow.doc, text, place.width, lettering);
  const step = lineHeight(lettering.size);
  const element = flow.doc.struct(type, more);
  into.add(element);
  for (let first = 0; first < lines.length; ) {
    const left = lines.length - first;
    // Never one line alone at the foot or at the head of a page.
    const fit = Math.floor(roomMm(flow) / step);
    const count = fit >= left ? left : left - fit < 2 ? fit - 1 : fit;
    if (count < Math.min(2, left) && !flow.isFresh) {
      newPage(flow);
      continue;
    }
    const part = lines.slice(first, first + Math.max(1, count));
    element.add(() => {
      flow.y = writeLines(flow, part, place, flow.y, lettering);
    });
    flow.isFresh = false;
    first += part.length;
    if (first < lines.length) newPage(flow);
  }
  element.end();
}

export function hairline(
  flow: PageFlow,
  x: number,
  width: number,
  y: number,
  colour: string = INK_ON_WHITE.hair,
  weight = HAIRLINE,
): void {
  flow.doc
    .moveTo(x, y)
    .lineTo(x + width, y)
    .lineWidth(weight)
    .stroke(colour);
}
