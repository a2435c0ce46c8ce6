import { HATCHES, INK } from '#geo-core/formats/drawing/ink.ts';
import { element, escaped, type MarkUp, text, written } from '#geo-core/formats/drawing/mark-up.ts';
import { logoOf } from '#geo-core/model/logo.ts';
import { type Block, MARGIN_MM, type Paper, type Row } from './paper.ts';

/** A face that is put into the page, WOFF2 in base 64. */
export type PageFace = {
  readonly family: 'Alegreya' | 'Source Sans 3';
  readonly weight: string;
  readonly style: 'normal' | 'italic';
  readonly base64: string;
};

/** What such a page may load: nothing; its styles, faces and pictures are in it. */
export const PAPER_POLICY =
  "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/** A paper as one page that needs nothing else: for the screen, and for a printer on the paper's own sheet. */
export function writeHtml(paper: Paper, faces: readonly PageFace[] = []): string {
  const { title, language, firm, blocks } = paper;
  const body = element(
    'body',
    {},
    element('svg', { width: 0, height: 0, style: 'position:absolute', 'aria-hidden': 'true' }, HATCHES),
    letterhead(firm),
    element('main', {}, ...sections(blocks)),
  );
  return `<!doctype html>
<html lang="${escaped(language)}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title><style>${faces.map(faceRule).join('')}${styleOf(paper)}</style></head>${writtenHtml(body)}</html>
`;
}

/** HTML wants end tags where XML does not, but for elements that have none. */
const VOID = new Set(['img', 'br']);

function writtenHtml(piece: MarkUp): string {
  if ('words' in piece || piece.name === 'svg' || VOID.has(piece.name)) return written(piece);
  const { name, attributes, children } = piece;
  const list = Object.entries(attributes)
    .map(([key, value]) => ` ${key}="${escaped(String(value))}"`)
    .join('');
  return `<${name}${list}>${children.map(writtenHtml).join('')}</${name}>`;
}

function faceRule({ family, weight, style, base64 }: PageFace): string {
  return `@font-face{font-family:"${family}";font-weight:${weight};font-style:${style};src:url(data:font/woff2;base64,${base64}) format("woff2")}`;
}

function letterhead({ name, lines, logo }: Paper['firm']): MarkUp {
  const picture = logo === undefined ? undefined : logoOf(logo);
  return element(
    'header',
    {},
    ...(logo !== undefined && picture !== undefined && 'bytes' in picture
      ? [element('img', { src: logo, alt: name })]
      : []),
    element('p', { class: 'firm' }, text(name)),
    element('address', {}, ...lines.map((line) => element('span', {}, text(line)))),
  );
}

/** What a heading heads stands beside it. */
function sections(blocks: readonly Block[]): MarkUp[] {
  const out: MarkUp[] = [];
  let open: { readonly heading: MarkUp; readonly content: MarkUp[] } | undefined;
  const close = () => {
    if (open === undefined) return;
    out.push(element('section', {}, open.heading, element('div', {}, ...open.content)));
    open = undefined;
  };
  for (const block of blocks) {
    if (block.kind === 'heading') {
      close();
      open = { heading: element('h2', {}, text(block.text)), content: [] };
    } else if (open === undefined || block.kind === 'drawing' || block.kind === 'break') {
      close();
      out.push(...piece(block));
    } else open.content.push(...piece(block));
  }
  close();
  return out;
}

function piece(block: Block): MarkUp[] {
  switch (block.kind) {
    case 'title':
      return [
        element('p', { class: 'over' }, text(block.over)),
        element('h1', {}, text(block.title)),
        element('p', { class: 'soft' }, text(block.under)),
      ];
    case 'paragraph':
      return [element('p', { class: block.tone }, text(block.text))];
    case 'facts':
    case 'figures':
      return [
        element(
          'dl',
          { class: block.kind },
          ...block.facts.map(({ name, value }) =>
            element('div', {}, element('dt', {}, text(name)), element('dd', {}, text(value))),
          ),
        ),
      ];
    case 'list':
      return [
        element(
          'ul',
          { class: block.mark },
          ...block.items.map(({ number, text: words, soft, language, isSmall }) =>
            element(
              'li',
              {
                ...(language !== undefined && { lang: language }),
                ...(number !== undefined && { 'data-number': number }),
                ...(isSmall && { class: 'small' }),
              },
              text(words),
              ...(soft === undefined ? [] : [element('br', {}), element('span', { class: 'soft' }, text(soft))]),
            ),
          ),
        ),
      ];
    case 'table':
      return [table(block)];
    case 'drawing':
      return [drawing(block)];
    case 'signatures':
      return [element('div', { class: 'signatures' }, ...block.labels.map((label) => element('p', {}, text(label))))];
    case 'break':
      return [element('div', { class: 'break' })];
    case 'heading':
      return [element('h2', {}, text(block.text))];
  }
}

function table({ columns, rows }: Extract<Block, { kind: 'table' }>): MarkUp {
  const cells = ({ cells: texts, role }: Row): MarkUp =>
    role === 'group'
      ? element('tr', { class: role }, element('th', { colspan: columns.length, scope: 'rowgroup' }, text(texts[0])))
      : element(
          'tr',
          { class: role },
          ...texts.map((words, i) => element('td', { class: columns[i].align }, text(words))),
        );
  return element(
    'div',
    { class: 'wide', tabindex: 0 },
    element(
      'table',
      {},
      element(
        'thead',
        {},
        element(
          'tr',
          {},
          ...columns.map(({ title, align }) => element('th', { class: align, scope: 'col' }, text(title))),
        ),
      ),
      element('tbody', {}, ...rows.map(cells)),
    ),
  );
}

function drawing({ marks, widthMm, heightMm, alternative, page }: Extract<Block, { kind: 'drawing' }>): MarkUp {
  return element(
    'figure',
    { class: page },
    element(
      'svg',
      {
        viewBox: `0 0 ${widthMm} ${heightMm}`,
        role: 'img',
        'aria-label': alternative,
        style: `width:${widthMm}mm`,
      },
      ...marks,
    ),
  );
}

function styleOf({ accent, sheet }: Paper): string {
  const { upright, across } = MARGIN_MM;
  return `:root{--accent:${accent};--ink:${INK.line};--soft:${INK.soft};--hair:#c9c2b0}
*{box-sizing:border-box}body{margin:0 auto;max-width:56rem;padding:2.5rem 1.5rem;background:#fff;color:var(--ink);font:15px/1.5 "Source Sans 3","Segoe UI","Helvetica Neue",Arial,sans-serif}
h1,h2,.firm,.over,.figures dd{font-family:Alegreya,Palatino,Georgia,serif;font-weight:500;line-height:1.2;margin:0}
header{display:flex;flex-wrap:wrap;align-items:flex-end;gap:.5rem 1.5rem;border-bottom:2px solid var(--accent);padding-bottom:.6rem;margin-bottom:1.6rem}
header img{max-width:11rem;max-height:4rem}.firm{font-size:1.6rem;color:var(--accent);flex:1;overflow-wrap:anywhere}address{font-style:normal;font-size:.8rem;color:var(--soft);text-align:right}address span{display:block}
.over{font-style:italic;font-size:1.25rem;color:var(--accent)}h1{font-size:2.4rem;overflow-wrap:anywhere}.soft{color:var(--soft)}p{margin:.2rem 0 .6rem}
dl{display:flex;flex-wrap:wrap;gap:.6rem 2rem;margin:1rem 0 1.4rem}dt{font-size:.8rem;color:var(--soft)}dd{margin:0;white-space:pre-line}dl.figures{justify-content:space-between}.figures dd{font-size:1.6rem;color:var(--accent)}
figure{margin:0 0 1.2rem}figure svg{max-width:100%;height:auto;display:block}svg text{white-space:pre}
section{display:grid;grid-template-columns:11rem 1fr;gap:0 1.5rem;border-top:1px solid var(--hair);padding:.9rem 0 1.2rem}h2{font-size:1.25rem;color:var(--accent)}section>div{min-width:0}
.alert{font-weight:600;border-left:4px solid var(--accent);padding-left:1rem}.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums;margin:.2rem 0 1rem}th{font-weight:400;font-size:.8rem;color:var(--soft);text-align:left;vertical-align:bottom}thead th{border-bottom:1px solid var(--ink)}
td,th{padding:.3rem .8rem .3rem 0;vertical-align:top}td:last-child,th:last-child{padding-right:0}td{border-bottom:1px solid var(--hair);overflow-wrap:break-word}.end{text-align:right;white-space:nowrap}.group th{font-family:Alegreya,Palatino,Georgia,serif;font-style:italic;font-size:1rem;color:var(--accent);padding-top:.7rem}.total td{font-weight:600;border-top:1px solid var(--ink);border-bottom:1px solid var(--ink)}
ul{list-style:none;margin:0 0 .6rem;padding:0}li{position:relative;padding-left:1.6rem;margin-bottom:.35rem}li.small{font-size:.9rem}li::before{content:"—";position:absolute;left:0;color:var(--accent)}ul.box li::before{content:"";width:.75rem;height:.75rem;border:1px solid var(--ink);top:.35rem}li[data-number]::before{content:attr(data-number);font-weight:600}
.signatures{display:flex;flex-wrap:wrap;gap:3rem 1.5rem;padding-top:2.5rem}.signatures p{flex:1 1 10rem;border-top:1px solid var(--ink);font-size:.8rem;color:var(--soft)}
@media(max-width:40rem){section{grid-template-columns:1fr}h1{font-size:1.9rem}}
@page{size:${sheet};margin:${upright}mm}@page across{size:${sheet} landscape;margin:${across}mm}
@media print{body{max-width:none;padding:0;font-size:9.4pt}.break{break-before:page}.landscape{page:across;break-before:page}figure svg{max-width:none}section,tr,li{break-inside:avoid-page}h2{break-after:avoid}section{break-inside:auto}thead{display:table-header-group}}
`;
}
