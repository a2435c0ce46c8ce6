import { type Block, HEAD_MM, MARGIN_MM, type Paper, SHEET_MM } from '#geo-core/index.ts';
import { isWide, layTable, leastTableHeight } from './lay-table.ts';
import {
  artifact,
  content,
  ensureRoom,
  flowText,
  hairline,
  INK_ON_WHITE,
  lineHeight,
  newPage,
  type PageFlow,
  POINTS_PER_MM,
  textHeight,
  writeLines,
} from './page-flow.ts';
import { paint } from './paint.ts';
import { type Lettering, textLines } from './write-text.ts';

const PLAIN: Lettering = { style: 'sans', size: 3.3, colour: INK_ON_WHITE.line };
const SOFT: Lettering = { style: 'sans', size: 2.95, colour: INK_ON_WHITE.soft };
const NAME: Lettering = { style: 'sans', size: 2.6, colour: INK_ON_WHITE.soft };
const HEADING_SIZE = 4.7;
const SIGNATURE_MM = 17;
const SIGNATURE_COLUMNS = 3;

/** Lays the blocks of a paper one after the other, each with its place in the structure tree. */
export function layBlocks(flow: PageFlow, { blocks }: Paper): void {
  for (const [i, block] of blocks.entries()) layBlock(flow, block, blocks.slice(i + 1, i + 4));
}

function layBlock(flow: PageFlow, block: Block, next: readonly Block[]): void {
  switch (block.kind) {
    case 'title':
      layTitle(flow, block);
      break;
    case 'facts':
      layFacts(flow, block);
      break;
    case 'figures':
      layFigures(flow, block);
      break;
    case 'heading':
      layHeading(flow, block, next);
      break;
    case 'paragraph':
      layParagraph(flow, block, next);
      break;
    case 'list':
      layList(flow, block);
      break;
    case 'table':
      if (isWide(block)) clearHeading(flow);
      layTable(flow, block);
      break;
    case 'drawing':
      layDrawing(flow, block);
      break;
    case 'signatures':
      laySignatures(flow, block);
      break;
    case 'break':
      if (!flow.isFresh) newPage(flow);
  }
}

type Of<Kind extends Block['kind']> = Extract<Block, { kind: Kind }>;

function layTitle(flow: PageFlow, { over, title, under }: Of<'title'>): void {
  const { whole, root, paper } = flow;
  flowText(flow, root, 'P', over, whole, { style: 'italic', size: 4.8, colour: paper.accent });
  flow.y -= 0.5;
  flowText(flow, root, 'H1', title, whole, {
    style: 'serif',
    size: title.length > 34 ? 7.2 : 9,
    colour: INK_ON_WHITE.line,
  });
  flowText(flow, root, 'P', under, whole, { ...SOFT, size: 3.6 });
  flow.y += 2.5;
}

function layFacts(flow: PageFlow, { facts }: Of<'facts'>): void {
  const { whole, root, doc } = flow;
  const width = whole.width / facts.length;
  const top = flow.y;
  let bottom = top;
  for (const [i, { name, value }] of facts.entries()) {
    const place = { x: whole.x + i * width, width: width - 4 };
    content(flow, root, 'P', () => {
      const under = writeLines(flow, [name], place, top, NAME);
      bottom = Math.max(bottom, writeLines(flow, textLines(doc, value, place.width, PLAIN), place, under, PLAIN));
    });
  }
  flow.y = bottom + 4.5;
  flow.isFresh = false;
}

function layFigures(flow: PageFlow, { facts }: Of<'figures'>): void {
  const { whole, root, paper } = flow;
  const width = whole.width / facts.length;
  ensureRoom(flow, 16);
  flow.y += 2;
  const top = flow.y;
  for (const [i, { name, value }] of facts.entries()) {
    const place = { x: whole.x + i * width, width: width - 2 };
    content(flow, root, 'P', () => {
      const under = writeLines(flow, [name], place, top, NAME);
      writeLines(flow, [value], place, under + 0.3, { style: 'serif', size: 5.6, colour: paper.accent });
    });
  }
  flow.y = top + lineHeight(NAME.size) + 9;
  flow.isFresh = false;
}

/** On the left, beside what it heads; a rule above. */
function layHeading(flow: PageFlow, { text }: Of<'heading'>, next: readonly Block[]): void {
  const { whole, root, beside, paper, doc } = flow;
  clearHeading(flow);
  const width = beside.x - whole.x - 5;
  const lettering: Lettering = { style: 'serif', size: HEADING_SIZE, colour: paper.accent };
  const lines = textLines(doc, text, width, lettering);
  ensureRoom(flow, Math.max(lines.length * lineHeight(HEADING_SIZE), leastHeight(flow, next)) + 10);
  if (!flow.isFresh) flow.y += 4.5;
  artifact(flow, () => hairline(flow, whole.x, whole.width, flow.y));
  flow.y += 3.6;
  content(flow, root, 'H2', () => {
    flow.headingBottom = writeLines(flow, lines, { x: whole.x, width }, flow.y - 0.9, lettering);
  });
  flow.isFresh = false;
}

function clearHeading(flow: PageFlow): void {
  flow.y = Math.max(flow.y, flow.headingBottom + 1);
  flow.headingBottom = 0;
}

/** What must follow a heading on its page. */
function leastHeight(flow: PageFlow, [first, ...rest]: readonly Block[]): number {
  if (first === undefined) return 0;
  switch (first.kind) {
    case 'paragraph':
      return textHeight(flow, first.text, flow.beside.width, PLAIN) + leastHeight(flow, rest);
    case 'table':
      return leastTableHeight();
    case 'signatures':
      return Math.ceil(first.labels.length / SIGNATURE_COLUMNS) * SIGNATURE_MM;
    case 'list':
      return 14;
    default:
      return 0;
  }
}

function layParagraph(flow: PageFlow, { text, tone }: Of<'paragraph'>, next: readonly Block[]): void {
  const { root, beside, whole, paper, headingBottom } = flow;
  const lettering = tone === 'soft' ? SOFT : PLAIN;
  const column = headingBottom > 0 ? beside : whole;
  // What introduces a list or a table stands on one page with its beginning.
  if (next[0]?.kind === 'list' || next[0]?.kind === 'table')
    ensureRoom(flow, textHeight(flow, text, column.width, lettering) + leastHeight(flow, next.slice(0, 1)));
  if (tone !== 'alert') {
    flowText(flow, root, 'P', text, column, lettering);
    flow.y += 1.8;
    return;
  }
  const height = textHeight(flow, text, column.width - 5, lettering) + 3;
  ensureRoom(flow, height);
  artifact(flow, () => {
    flow.doc.rect(column.x, flow.y, 1.1, height).fill(paper.accent);
  });
  flow.y += 1.5;
  flowText(flow, root, 'P', text, { x: column.x + 5, width: column.width - 5 }, { ...PLAIN, style: 'bold' });
  flow.y += 4;
}

function layList(flow: PageFlow, { mark, items }: Of<'list'>): void {
  const { root, beside, doc, paper } = flow;
  const list = doc.struct('L');
  root.add(list);
  const indent = 6;
  const place = { x: beside.x + indent, width: beside.width - indent };
  for (const { text, soft, number, language, isSmall } of items) {
    const lettering = isSmall ? { ...SOFT, colour: PLAIN.colour } : PLAIN;
    const height =
      textHeight(flow, text, place.width, lettering) +
      (soft === undefined ? 0 : textHeight(flow, soft, place.width, SOFT));
    ensureRoom(flow, Math.min(height, 30));
    const top = flow.y;
    const item = doc.struct('LI');
    list.add(item);
    if (number === undefined) artifact(flow, () => drawMark(flow, mark, beside.x, top));
    else {
      content(flow, item, 'Lbl', () => {
        writeLines(flow, [number], { x: beside.x, width: indent }, top, {
          ...PLAIN,
          style: 'bold',
          colour: paper.accent,
        });
      });
    }
    const body = doc.struct('LBody', language === undefined ? {} : { lang: language });
    item.add(body);
    flowText(flow, body, 'P', text, place, lettering);
    if (soft !== undefined) flowText(flow, body, 'P', soft, place, SOFT);
    body.end();
    item.end();
    flow.y += mark === 'box' ? 1.7 : isSmall ? 0.7 : 1.1;
  }
  list.end();
  flow.y += 1;
}

function drawMark({ doc, paper }: PageFlow, mark: 'dash' | 'box', x: number, top: number): void {
  if (mark === 'box')
    doc
      .rect(x, top + 0.75, 2.9, 2.9)
      .lineWidth(0.25)
      .stroke(INK_ON_WHITE.line);
  else
    doc
      .moveTo(x, top + 2.4)
      .lineTo(x + 2.8, top + 2.4)
      .lineWidth(0.35)
      .stroke(paper.accent);
}

function layDrawing(flow: PageFlow, { marks, widthMm, heightMm, alternative, page }: Of<'drawing'>): void {
  const { doc, root, whole, paper } = flow;
  if (page === 'landscape') newPage(flow, 'across');
  else {
    clearHeading(flow);
    ensureRoom(flow, heightMm);
  }
  const x = page === 'landscape' ? MARGIN_MM.across : whole.x;
  const y = page === 'landscape' ? MARGIN_MM.across + HEAD_MM : flow.y;
  const pageHeight = page === 'landscape' ? SHEET_MM[paper.sheet].width : SHEET_MM[paper.sheet].height;
  const corners = [x, y, x + widthMm, Math.min(pageHeight, y + heightMm)].map((mm) => mm * POINTS_PER_MM);
  const [left, top, right, bottom] = corners;
  content(
    flow,
    root,
    'Figure',
    () => {
      doc.save();
      doc.translate(x, y);
      for (const piece of marks) paint(flow, piece);
      doc.restore();
    },
    { alt: alternative, bbox: [left, top, right, bottom], placement: 'Block' },
  );
  flow.y = y + heightMm + 3;
  flow.isFresh = false;
}

function laySignatures(flow: PageFlow, { labels }: Of<'signatures'>): void {
  const { root, beside } = flow;
  ensureRoom(flow, Math.ceil(labels.length / SIGNATURE_COLUMNS) * SIGNATURE_MM);
  const columns = Math.min(SIGNATURE_COLUMNS, labels.length);
  const width = (beside.width - 8 * (columns - 1)) / columns;
  const top = flow.y;
  for (const [i, label] of labels.entries()) {
    const place = { x: beside.x + (i % columns) * (width + 8), width };
    const line = top + (Math.floor(i / columns) + 1) * SIGNATURE_MM - 4;
    artifact(flow, () => hairline(flow, place.x, width, line, INK_ON_WHITE.line));
    content(flow, root, 'P', () => {
      writeLines(flow, [label], place, line + 0.6, NAME);
    });
  }
  flow.y = top + Math.ceil(labels.length / columns) * SIGNATURE_MM + 4;
  flow.isFresh = false;
}
