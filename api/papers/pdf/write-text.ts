import { type FaceStyle, type Run, runsOf } from './faces.ts';

/** A document of pdfkit in which the faces are registered. */
export type Doc = PDFKit.PDFDocument;

/** Titles have lining figures; the sans has tabular ones by itself. */
const FEATURES: Readonly<Record<FaceStyle, PDFKit.Mixins.OpenTypeFeatures[]>> = {
  serif: ['kern', 'liga', 'lnum', 'tnum'],
  italic: ['kern', 'liga', 'lnum', 'tnum'],
  sans: ['kern'],
  bold: ['kern'],
};

export type Lettering = { readonly style: FaceStyle; readonly size: number; readonly colour: string };

/** Width of one line in the units of the page. */
export function textWidth(doc: Doc, text: string, { style, size }: Omit<Lettering, 'colour'>): number {
  return runsOf(text, style).reduce((sum, run) => sum + runWidth(doc, run, style, size), 0);
}

function runWidth(doc: Doc, { face, text }: Run, style: FaceStyle, size: number): number {
  return doc.font(face, size).widthOfString(text, { features: FEATURES[style] });
}

/** One line of text with its base line at (x, y). */
export function writeText(doc: Doc, text: string, x: number, y: number, { style, size, colour }: Lettering): void {
  let at = x;
  for (const run of runsOf(text, style)) {
    doc.font(run.face, size).fillColor(colour);
    doc.text(run.text, at, y, { lineBreak: false, baseline: 'alphabetic', features: FEATURES[style] });
    at += runWidth(doc, run, style, size);
  }
}

/** Words in lines no wider than `width`; a word that is wider by itself is cut. Line ends in the text stay. */
export function textLines(doc: Doc, text: string, width: number, lettering: Omit<Lettering, 'colour'>): string[] {
  return text.split('\n').flatMap((part) => {
    const lines: string[] = [];
    let line = '';
    for (const word of part.split(' ').flatMap((each) => pieces(doc, each, width, lettering))) {
      const longer = line === '' ? word : `${line} ${word}`;
      if (line !== '' && textWidth(doc, longer, lettering) > width) {
        lines.push(line);
        line = word;
      } else line = longer;
    }
    return [...lines, line];
  });
}

function pieces(doc: Doc, word: string, width: number, lettering: Omit<Lettering, 'colour'>): string[] {
  if (textWidth(doc, word, lettering) <= width) return [word];
  const cut: string[] = [];
  let piece = '';
  for (const letter of word) {
    if (piece !== '' && textWidth(doc, piece + letter, lettering) > width) {
      cut.push(piece);
      piece = '';
    }
    piece += letter;
  }
  return [...cut, piece];
}
