import type { Block, Row } from '#geo-core/index.ts';
import {
  artifact,
  ensureRoom,
  HAIRLINE,
  hairline,
  INK_ON_WHITE,
  lineHeight,
  newPage,
  type PageFlow,
  roomMm,
  writeLines,
} from './page-flow.ts';
import { type Lettering, textLines } from './write-text.ts';

type Table = Extract<Block, { kind: 'table' }>;
type TableColumn = Table['columns'][number];
type Cell = {
  readonly x: number;
  readonly width: number;
  readonly lines: readonly string[];
  readonly column: TableColumn;
};

/** More columns than this take the whole width of the page and smaller letters. */
const COLUMNS_BESIDE = 5;
const PAD_MM = 1.1;
const GAP_MM = 3;

export function isWide({ columns }: Table): boolean {
  return columns.length > COLUMNS_BESIDE;
}

export function leastTableHeight(): number {
  return 26;
}

/** A table with hairlines; its head is repeated on every page, and its last rows stay together. */
export function layTable(flow: PageFlow, table: Table): void {
  const { doc, paper } = flow;
  const size = isWide(table) ? 2.7 : 3.15;
  const place = isWide(table) ? flow.whole : flow.beside;
  const shares = table.columns.reduce((sum, { share }) => sum + share, 0);
  const free = place.width - GAP_MM * (table.columns.length - 1);
  let at = place.x;
  const spans = table.columns.map((column) => {
    const span = { x: at, width: (free * column.share) / shares, column };
    at += span.width + GAP_MM;
    return span;
  });
  const cellsOf = (texts: readonly string[], lettering: Omit<Lettering, 'colour'>, isAcross: boolean): Cell[] =>
    spans.map(({ x, width, column }, i) => {
      const wide = isAcross && i === 0 ? place.width : width;
      return { x, width: wide, column, lines: texts[i] === '' ? [] : textLines(doc, texts[i], wide, lettering) };
    });
  const heightOf = (cells: readonly Cell[]) =>
    Math.max(1, ...cells.map(({ lines }) => lines.length)) * lineHeight(size) + 2 * PAD_MM;
  const element = doc.struct('Table');
  flow.root.add(element);

  const head = () => {
    const lettering: Lettering = { style: 'sans', size: size * 0.84, colour: INK_ON_WHITE.soft };
    const cells = cellsOf(
      table.columns.map(({ title }) => title),
      lettering,
      false,
    );
    const height = heightOf(cells) - 0.6;
    row('TH', cells, lettering, height);
    artifact(flow, () => hairline(flow, place.x, place.width, flow.y, INK_ON_WHITE.line, 0.25));
  };
  const row = (type: 'TH' | 'TD', cells: readonly Cell[], lettering: Lettering, height: number) => {
    const top = flow.y + PAD_MM;
    const line = doc.struct('TR');
    element.add(line);
    for (const { x, width, lines, column } of cells) {
      line.add(
        doc.struct(type, type === 'TH' ? { scope: 'Column' } : {}, [
          () => {
            writeLines(flow, lines, { x, width, align: column.align }, top, lettering);
          },
        ]),
      );
    }
    line.end();
    flow.y += height;
    flow.isFresh = false;
  };

  const rows = table.rows.map((each) => {
    const lettering = letteringOf(each, size, paper.accent);
    const cells = cellsOf(each.cells, lettering, each.role === 'group');
    const above = each.role === 'group' ? 1.6 : 0;
    return { each, lettering, cells, height: heightOf(cells) + above, above };
  });
  ensureRoom(flow, leastTableHeight());
  head();
  for (const [i, { each, lettering, cells, height, above }] of rows.entries()) {
    const together = rows.slice(i, i + keptWith(table.rows, i)).reduce((sum, next) => sum + next.height, 0);
    if (roomMm(flow) < together && !flow.isFresh) {
      newPage(flow);
      head();
    }
    if (each.role === 'total')
      artifact(flow, () => hairline(flow, place.x, place.width, flow.y, INK_ON_WHITE.line, 0.35));
    flow.y += above;
    row('TD', cells, lettering, height - above);
    if (each.role !== 'group')
      artifact(flow, () =>
        hairline(
          flow,
          place.x,
          place.width,
          flow.y,
          each.role === 'total' ? INK_ON_WHITE.line : INK_ON_WHITE.hair,
          each.role === 'total' ? 0.35 : HAIRLINE * 0.7,
        ),
      );
  }
  element.end();
  flow.y += 2.5;
}

/** How many rows must stand on one page from row `i` on: a group with what it heads, the sums with the rows before. */
function keptWith(rows: readonly Row[], i: number): number {
  if (rows[i].role === 'group') return 3;
  const sums = rows.slice(i + 1).findIndex(({ role }) => role === 'sum' || role === 'total');
  return sums >= 0 && sums <= 1 ? rows.length - i : 1;
}

function letteringOf({ role }: Row, size: number, accent: string): Lettering {
  switch (role) {
    case 'group':
      return { style: 'italic', size: size * 1.08, colour: accent };
    case 'total':
      return { style: 'bold', size: size * 1.12, colour: INK_ON_WHITE.line };
    default:
      return { style: 'sans', size, colour: INK_ON_WHITE.line };
  }
}
