import PDFDocument from 'pdfkit';
import { MARGIN_MM, type Paper, SHEET_MM } from '#geo-core/index.ts';
import { logoOf } from '#geo-core/model/logo.ts';
import { FACES, faceBytes } from './faces.ts';
import { hatchesOf } from './hatches.ts';
import { layBlocks } from './lay-blocks.ts';
import {
  content,
  hairline,
  INK_ON_WHITE,
  newPage,
  type PageFlow,
  POINTS_PER_MM,
  pageFlow,
  writeLines,
} from './page-flow.ts';
import { type Doc, type Lettering, textLines } from './write-text.ts';

const SMALL: Lettering = { style: 'sans', size: 2.6, colour: INK_ON_WHITE.soft };
const LOGO_MM = { width: 46, height: 16 } as const;

/**
 * A paper as PDF 1.7: tagged after PDF/UA-1 (ISO 14289-1), faces embedded, everything vector but the logo. The same paper gives
 * the same bytes. Coordinates are millimetres from the upper left corner of a page.
 */
export function writePdf(paper: Paper): Promise<Uint8Array<ArrayBuffer>> {
  const options: PDFKit.PDFDocumentOptions = {
    pdfVersion: '1.7',
    tagged: true,
    displayTitle: true,
    lang: paper.language,
    autoFirstPage: false,
    bufferPages: true,
    font: '',
    info: {
      Title: paper.title,
      Author: paper.firm.name,
      Creator: 'Loopwright',
      Producer: 'Loopwright',
      CreationDate: new Date(`${paper.isoDate}T00:00:00Z`),
    },
  };
  // The published types know the subsets of PDF/A only.
  Object.assign(options, { subset: 'PDF/UA' });
  const doc = new PDFDocument(options);
  const bytes = collected(doc);
  for (const face of FACES) registerFace(doc, face);
  const root = doc.struct('Document');
  doc.addStructure(root);
  const flow = pageFlow({ doc, hatches: new Map() }, paper, root);
  newPage(flow);
  const laid = { ...flow, hatches: hatchesOf(doc) };
  layLetterhead(laid);
  layBlocks(laid, paper);
  root.end();
  numberPages(laid);
  doc.end();
  return bytes;
}

function collected(doc: Doc): Promise<Uint8Array<ArrayBuffer>> {
  const chunks: Uint8Array[] = [];
  return new Promise((resolve, reject) => {
    doc.on('data', (chunk: Uint8Array) => chunks.push(chunk));
    doc.on('end', () => resolve(new Uint8Array(Buffer.concat(chunks))));
    doc.on('error', reject);
  });
}

/** The file of a face is read when the face is first used. */
function registerFace(doc: Doc, face: (typeof FACES)[number]): void {
  doc.registerFont(face, faceBytes(face));
}

/** Logo or name on the left, the firm's lines on the right, a rule in its colour. */
function layLetterhead(flow: PageFlow): void {
  const { doc, paper, whole, root } = flow;
  const { name, lines } = paper.firm;
  const top = flow.y;
  const logo = paper.firm.logo === undefined ? undefined : logoOf(paper.firm.logo);
  let nameTop = top;
  if (logo !== undefined && 'bytes' in logo) {
    content(
      flow,
      root,
      'Figure',
      () => doc.image(Buffer.from(logo.bytes), whole.x, top, { fit: [LOGO_MM.width, LOGO_MM.height] }),
      {
        alt: name,
        placement: 'Block',
        bbox: boxInPoints(whole.x, top, whole.x + LOGO_MM.width, top + LOGO_MM.height),
      },
    );
    nameTop = top + LOGO_MM.height + 1;
  }
  const half = whole.width * 0.42;
  const lettering: Lettering = { style: 'serif', size: logo === undefined ? 6 : 4.2, colour: paper.accent };
  let bottom = nameTop;
  const nameWidth = whole.width - half - 4;
  content(flow, root, 'P', () => {
    bottom = writeLines(
      flow,
      textLines(doc, name, nameWidth, lettering).slice(0, 3),
      { x: whole.x, width: nameWidth },
      nameTop,
      lettering,
    );
  });
  if (lines.length > 0) {
    content(flow, root, 'P', () => {
      const own = lines.flatMap((line) => textLines(doc, line, half, SMALL));
      const place = { x: whole.x + whole.width - half, width: half, align: 'end' } as const;
      bottom = Math.max(bottom, writeLines(flow, own.slice(0, 6), place, top, SMALL));
    });
  }
  flow.y = bottom + 2.5;
  doc.markContent('Artifact', { type: 'Layout' });
  hairline(flow, whole.x, whole.width, flow.y, paper.accent, 0.5);
  doc.endMarkedContent();
  flow.y += 5;
  flow.isFresh = false;
}

function boxInPoints(...corners: [number, number, number, number]): [number, number, number, number] {
  const [left, top, right, bottom] = corners.map((mm) => mm * POINTS_PER_MM);
  return [left, top, right, bottom];
}

/** Running heads and page numbers, once it is known how many pages there are. */
function numberPages(flow: PageFlow): void {
  const { doc, paper } = flow;
  const { start, count } = doc.bufferedPageRange();
  for (let i = 0; i < count; i++) {
    doc.switchToPage(start + i);
    const size = SHEET_MM[paper.sheet];
    const isAcross = doc.page.width > doc.page.height;
    const margin = isAcross ? MARGIN_MM.across : MARGIN_MM.upright;
    const width = (isAcross ? size.height : size.width) - 2 * margin;
    const height = isAcross ? size.width : size.height;
    const number = paper.pageWords.replace('{page}', String(i + 1)).replace('{pages}', String(count));
    const numberTop = isAcross ? margin - 1.5 : height - 12;
    doc.markContent('Artifact', { type: 'Pagination' });
    if (i > 0) {
      const [head] = textLines(doc, paper.runningHead, width - 30, SMALL);
      writeLines(flow, [head], { x: margin, width }, isAcross ? margin - 1.5 : 9, SMALL);
    }
    writeLines(flow, [number], { x: margin, width, align: 'end' }, numberTop, SMALL);
    doc.endMarkedContent();
  }
}
