import { getDocument, OPS, type PDFPageProxy } from 'pdfjs-dist/legacy/build/pdf.mjs';

/** Elements have a role, pieces of content a type. */
type TreeNode = {
  readonly role?: string;
  readonly type?: string;
  readonly alt?: string;
  readonly children?: readonly TreeNode[];
};
type ReadPage = {
  readonly width: number;
  readonly height: number;
  readonly text: string;
  /** Roles of the structure tree in reading order. */
  readonly roles: readonly string[];
  readonly alternatives: readonly string[];
  /** Font names, and whether each is in the file. */
  readonly fonts: ReadonlyMap<string, boolean>;
  /** Stroked paths: width of the pen and lengths on the page, millimetres, and how many places each has. */
  readonly strokes: readonly { readonly penMm: number; readonly lengthMm: number; readonly places: number }[];
};
export type ReadPdf = {
  readonly title: unknown;
  readonly language: unknown;
  readonly isTagged: boolean;
  readonly metadata: string;
  readonly pages: readonly ReadPage[];
};

const MM_PER_POINT = 25.4 / 72;

/** A PDF as pdf.js reads it: text, structure, fonts and strokes of every page. */
export async function readPdf(bytes: Uint8Array): Promise<ReadPdf> {
  const task = getDocument({
    data: Uint8Array.from(bytes),
    verbosity: 0,
    useSystemFonts: false,
    disableFontFace: true,
  });
  const document = await task.promise;
  try {
    const { info, metadata } = await document.getMetadata();
    const marks = await document.getMarkInfo();
    const pages: ReadPage[] = [];
    for (let i = 1; i <= document.numPages; i++) pages.push(await readPage(await document.getPage(i)));
    const facts = new Map(Object.entries(info));
    return {
      title: facts.get('Title'),
      language: facts.get('Language'),
      isTagged: marks?.Marked === true,
      metadata: String(metadata?.getRaw() ?? ''),
      pages,
    };
  } finally {
    await task.destroy();
  }
}

async function readPage(page: PDFPageProxy): Promise<ReadPage> {
  const { width, height } = page.getViewport({ scale: 1 });
  const { items } = await page.getTextContent();
  const text = items.map((item) => ('str' in item ? `${item.str}${item.hasEOL ? '\n' : ''}` : '')).join('');
  const operators = await page.getOperatorList();
  const tree: TreeNode | null = await page.getStructTree();
  const nodes = tree === null ? [] : flat(tree);
  return {
    width: width * MM_PER_POINT,
    height: height * MM_PER_POINT,
    text,
    roles: nodes.flatMap(({ role }) => (role === undefined ? [] : [role])),
    alternatives: nodes.flatMap(({ alt }) => (alt === undefined ? [] : [alt])),
    fonts: fontsOf(page, operators),
    strokes: strokesOf(operators),
  };
}

function flat(node: TreeNode): TreeNode[] {
  return [node, ...(node.children ?? []).flatMap(flat)];
}

type Operators = Awaited<ReturnType<PDFPageProxy['getOperatorList']>>;

function fontsOf(page: PDFPageProxy, { fnArray, argsArray }: Operators): Map<string, boolean> {
  const fonts = new Map<string, boolean>();
  for (const [i, operator] of fnArray.entries()) {
    if (operator !== OPS.setFont) continue;
    const font = page.commonObjs.get(argsArray[i][0]);
    fonts.set(font.name, font.missingFile === false);
  }
  return fonts;
}

type Matrix = readonly [number, number, number, number, number, number];

/** Follows the transformations of the page; pens and lengths are those on paper. */
function strokesOf({ fnArray, argsArray }: Operators): ReadPage['strokes'] {
  const strokes: { penMm: number; lengthMm: number; places: number }[] = [];
  let state: { matrix: Matrix; pen: number } = { matrix: [1, 0, 0, 1, 0, 0], pen: 1 };
  const stack: (typeof state)[] = [];
  for (const [i, operator] of fnArray.entries()) {
    const args = argsArray[i];
    if (operator === OPS.save) stack.push(state);
    else if (operator === OPS.restore) state = stack.pop() ?? state;
    else if (operator === OPS.transform) state = { ...state, matrix: times(state.matrix, args) };
    else if (operator === OPS.setLineWidth) state = { ...state, pen: args[0] };
    else if (operator === OPS.constructPath && args[0] === OPS.stroke) {
      const [a, b] = state.matrix;
      const perUnit = Math.hypot(a, b) * MM_PER_POINT;
      const { length, places } = lengthOf(args[1][0]);
      strokes.push({ penMm: state.pen * perUnit, lengthMm: length * perUnit, places });
    }
  }
  return strokes;
}

function times([a, b, c, d, e, f]: Matrix, [g, h, i, j, k, l]: Matrix): Matrix {
  return [a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * l + e, b * k + d * l + f];
}

/** The path of pdf.js: 0 moves, 1 draws a line, 2 and 3 curves, 4 closes. Curves are taken by their chords. */
function lengthOf(path: ArrayLike<number>): { length: number; places: number } {
  let [length, places] = [0, 0];
  let [x, y, startX, startY] = [0, 0, 0, 0];
  const to = (nextX: number, nextY: number) => {
    length += Math.hypot(nextX - x, nextY - y);
    [x, y] = [nextX, nextY];
    places += 1;
  };
  for (let at = 0; at < path.length; ) {
    const kind = path[at];
    if (kind === 0) {
      [x, y] = [path[at + 1], path[at + 2]];
      [startX, startY] = [x, y];
      places += 1;
      at += 3;
    } else if (kind === 1) {
      to(path[at + 1], path[at + 2]);
      at += 3;
    } else if (kind === 2 || kind === 3) {
      const values = kind === 2 ? 6 : 4;
      to(path[at + values - 1], path[at + values]);
      at += values + 1;
    } else {
      to(startX, startY);
      at += 1;
    }
  }
  return { length, places };
}
