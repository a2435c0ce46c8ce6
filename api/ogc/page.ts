import type { Box, Geometry } from '#api/store/geometry.ts';
import { boxOf } from '#api/store/geometry.ts';
import type { Link } from './links.ts';

/** Text that is safe between tags and in quoted attributes. */
function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}

export type PageContent = {
  readonly title: string;
  readonly description?: string | undefined;
  readonly links: readonly Link[];
  /** HTML, made of escaped text. */
  readonly body: string;
  readonly root: string;
};

/** What a page may load: its style sheet and nothing else. */
export const PAGE_POLICY =
  "default-src 'none'; style-src 'self'; img-src 'self' data:; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

/** A resource for people: the same content as its JSON, with a map where it has a place. */
export function page({ title, description, links, body, root }: PageContent): string {
  const items = links
    .filter(({ templated, type }) => !templated && type !== 'text/html')
    .map(({ rel, href, title: text, type }) => {
      const name = rel.replace(/^.*\//, '');
      return `<li><a href="${escaped(href)}">${escaped(text ?? name)}</a> <small>${escaped(type ?? name)}</small></li>`;
    });
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title><link rel="stylesheet" href="${escaped(root)}/page.css"></head>
<body><header><a href="${escaped(root)}?f=html">Loopwright</a> · <a href="${escaped(root)}/collections?f=html">collections</a> ·
<a href="${escaped(root)}/api?f=html">API</a></header>
<main><h1>${escaped(title)}</h1>${description === undefined ? '' : `<p>${escaped(description)}</p>`}
${body}
<nav><h2>Also</h2><ul>${items.join('')}</ul></nav></main></body></html>
`;
}

export type Mark = { readonly geometry: Geometry; readonly title: string; readonly href?: string };

const WIDTH = 760;
const HEIGHT = 480;
const MARGIN = 24;
/** Of the meridian, by the mean radius of the earth 6,371,008.8 m: only for the scale bar. */
const METRES_PER_DEGREE = 111_195;

/** Geometries on a sheet: equirectangular around their middle, north up, with a scale bar. */
export function sheetMap(marks: readonly Mark[], extent?: Box): string {
  const boxes = extent === undefined ? marks.map(({ geometry }) => boxOf(geometry)) : [extent];
  if (boxes.length === 0) return '<p>Nothing to draw.</p>';
  const west = Math.min(...boxes.map((box) => box[0]));
  const south = Math.min(...boxes.map((box) => box[1]));
  const east = Math.max(...boxes.map((box) => box[2]));
  const north = Math.max(...boxes.map((box) => box[3]));
  const squeeze = Math.max(0.01, Math.cos((((south + north) / 2) * Math.PI) / 180));
  const spanX = Math.max((east - west) * squeeze, 1e-5);
  const spanY = Math.max(north - south, 1e-5);
  const scale = Math.min((WIDTH - 2 * MARGIN) / spanX, (HEIGHT - 2 * MARGIN) / spanY);
  const place = ([lon, lat]: readonly number[]) => {
    const x = WIDTH / 2 + (lon - (west + east) / 2) * squeeze * scale;
    const y = HEIGHT / 2 - (lat - (south + north) / 2) * scale;
    return `${x.toFixed(1)} ${y.toFixed(1)}`;
  };
  const shapes = marks.map(({ geometry, title, href }) => {
    const shape = `<path class="${geometry.type.replace('Multi', '').toLowerCase()}" d="${pathOf(geometry, place)}"><title>${escaped(title)}</title></path>`;
    return href === undefined ? shape : `<a href="${escaped(href)}">${shape}</a>`;
  });
  return `<svg class="map" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="map">${shapes.join('')}${scaleBar(scale)}</svg>`;
}

function scaleBar(pixelsPerDegree: number): string {
  const metresPerPixel = METRES_PER_DEGREE / pixelsPerDegree;
  const widest = 200 * metresPerPixel;
  const step = 10 ** Math.floor(Math.log10(widest));
  const lengthM = [5, 2, 1].map((factor) => factor * step).find((length) => length <= widest) ?? step;
  const x = (lengthM / metresPerPixel).toFixed(1);
  const text = lengthM >= 1000 ? `${lengthM / 1000} km` : `${Number(lengthM.toPrecision(2))} m`;
  return `<g class="scale" transform="translate(${MARGIN} ${HEIGHT - 10})"><path d="M0 -5V0H${x}V-5"/><text x="4" y="-8">${text}</text></g>`;
}

function pathOf(geometry: Geometry, place: (position: readonly number[]) => string): string {
  const line = (positions: readonly (readonly number[])[]) => `M${positions.map(place).join('L')}`;
  const dot = (position: readonly number[]) => `M${place(position)}h0`;
  switch (geometry.type) {
    case 'Point':
      return dot(geometry.coordinates);
    case 'MultiPoint':
      return geometry.coordinates.map(dot).join('');
    case 'LineString':
      return line(geometry.coordinates);
    case 'MultiLineString':
      return geometry.coordinates.map(line).join('');
    case 'Polygon':
      return geometry.coordinates.map((ring) => `${line(ring)}Z`).join('');
    case 'MultiPolygon':
      return geometry.coordinates.flatMap((rings) => rings.map((ring) => `${line(ring)}Z`)).join('');
  }
}

/** Rows of names and values; both are escaped here. */
export function table(
  head: readonly string[],
  rows: readonly (readonly (string | { readonly href: string; readonly text: string })[])[],
): string {
  const cell = (value: string | { readonly href: string; readonly text: string }) =>
    typeof value === 'string' ? escaped(value) : `<a href="${escaped(value.href)}">${escaped(value.text)}</a>`;
  const top =
    head.length === 0 ? '' : `<thead><tr>${head.map((text) => `<th>${escaped(text)}</th>`).join('')}</tr></thead>`;
  const lines = rows.map((row) => `<tr>${row.map((value) => `<td>${cell(value)}</td>`).join('')}</tr>`);
  return `<div class="wide"><table>${top}<tbody>${lines.join('')}</tbody></table></div>`;
}

/** The drawing's own paper and ink, as in the client's style sheet. */
export const PAGE_CSS = `:root{color-scheme:light dark;--paper:#f7f2e6;--card:#fbf8f0;--line:#1f1e1a;--soft:#57534a;--hair:#c9c2b0;--accent:#a8420c;--grass:#e2e6cb}
@media(prefers-color-scheme:dark){:root{--paper:#1a2a3a;--card:#1f3143;--line:#eef3f5;--soft:#b4c4d0;--hair:#41566a;--accent:#ffb65c;--grass:#2b4a45}}
body{font:16px/1.5 "Segoe UI","Helvetica Neue",Arial,sans-serif;margin:0 auto;max-width:60rem;padding:1rem;background:var(--paper);color:var(--line)}
h1,h2{font-family:"Iowan Old Style","Palatino Linotype",Palatino,Georgia,serif;font-weight:500;line-height:1.2}a{color:var(--accent)}
:focus-visible{outline:3px solid var(--accent);outline-offset:2px}header{border-bottom:2px solid var(--line);padding-bottom:.5rem}small{color:var(--soft)}
.wide{overflow-x:auto}table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}td+td{overflow-wrap:anywhere}
td,th{border-bottom:1px solid var(--hair);padding:.2rem .6rem .2rem 0;text-align:left;vertical-align:top}.map{background:var(--card);border:2px solid var(--line);box-sizing:border-box;width:100%}
.map path{fill:none;stroke:var(--line);stroke-width:1.5;stroke-linejoin:round}.map .polygon{fill:var(--grass)}.map .point{stroke:var(--accent);stroke-linecap:round;stroke-width:7}
.map .scale path{stroke:var(--line)}.map .scale text{fill:var(--line);font-size:12px}
`;
