import { html, type TemplateResult } from 'lit';
import { counted } from '#geo-core/model/counted.ts';
import type { Figures } from '../figures.ts';
import { keyForm } from '../panels/key-form.ts';
import { FIGURE_IDS, type FigureId, type PlanRow, ROWS_MAX } from './plan-rows.ts';
import { spread, WASHES } from './portfolio-map.ts';
import { type Choice, totalsOf } from './register.ts';
import type { UploadState } from './upload-sites.ts';

export type PortfolioState = {
  /** null until they are read. */
  readonly rows: readonly PlanRow[] | null;
  readonly chosen: readonly PlanRow[];
  readonly choice: Choice;
  readonly breaks: readonly number[];
  readonly picked: string | null;
  /** How many rows of the register are written out. */
  readonly shown: number;
  readonly upload: UploadState | null;
  readonly wantsKey: boolean;
  readonly said: string;
};

export type PortfolioActions = {
  readonly choose: (change: Partial<Choice>) => void;
  readonly pick: (id: string) => void;
  readonly showMore: () => void;
  readonly openFile: (file: File) => void;
  readonly stopUpload: () => void;
  readonly giveKey: (key: string) => void;
  readonly showAll: () => void;
};

const FIGURES: Readonly<
  Record<
    FigureId,
    { readonly title: string; readonly kind: 'length' | 'area' | 'hours' | 'price' | 'count' | 'percent' }
  >
> = {
  routeLengthM: { title: 'Wire', kind: 'length' },
  lawnAreaM2: { title: 'Lawn', kind: 'area' },
  handMowAreaM2: { title: 'Mown by hand', kind: 'area' },
  hoursPerWeek: { title: 'Hours a week', kind: 'hours' },
  priceTotal: { title: 'Price', kind: 'price' },
  zoneCount: { title: 'Zones', kind: 'count' },
  maxSlopePct: { title: 'Steepest', kind: 'percent' },
  stops: { title: 'Stops', kind: 'count' },
  cautions: { title: 'Cautions', kind: 'count' },
  pegCount: { title: 'Pegs', kind: 'count' },
};
/** What fits beside a map; the figure that colours it is shown too. */
const COLUMNS: readonly FigureId[] = ['lawnAreaM2', 'routeLengthM', 'priceTotal', 'stops'];
const STATES = { all: 'all', planned: 'planned', refused: 'cannot be planned', queued: 'being planned' } as const;

export function head({ rows, upload, wantsKey, said }: PortfolioState, actions: PortfolioActions): TemplateResult {
  return html`<h1>Register of gardens</h1>
    <p class="soft">${said === '' ? counts(rows) : said}</p>
    <div class="tools">
      <a class="button" href="./">Draw and plan a garden</a>
      <label class="button"><input type="file" id="sites" accept=".geojson,.json,.geojsonl,.ndjson,.geojsons,.jsonl" @change=${(
        event: Event,
      ) => {
        const input = event.currentTarget as HTMLInputElement;
        const [file] = input.files ?? [];
        if (file !== undefined) actions.openFile(file);
        input.value = '';
      }} /><span>Add a file of sites</span></label>
    </div>
    ${wantsKey ? keyForm(actions.giveKey) : null}
    ${upload === null ? null : progress(upload, actions)}`;
}

function counts(rows: PortfolioState['rows']): string {
  if (rows === null) return 'Reading the register…';
  if (rows.length === 0) return 'Nothing is kept yet: add a file of sites, or keep a garden from the drawing.';
  const more = rows.length >= ROWS_MAX ? ' These are the first; the service hands all over as CSV.' : '';
  return `${counted(rows.length, 'garden is', 'gardens are')} kept.${more}`;
}

function progress(
  { fileName, readBytes, allBytes, kept, refusedCount, refused, done }: UploadState,
  actions: PortfolioActions,
): TemplateResult {
  return html`<div class="upload" role="status">
    <label>${fileName}: ${counted(kept, 'site is', 'sites are')} kept${refusedCount === 0 ? '' : `, ${refusedCount} refused`}${done ? '. Done.' : ''}
      <progress max=${allBytes} .value=${readBytes}></progress></label>
    ${done ? null : html`<button type="button" @click=${actions.stopUpload}>Stop</button>`}
    ${
      refusedCount === 0
        ? null
        : html`<details><summary>Why ${counted(refusedCount, 'site was', 'sites were')} refused${refused.length < refusedCount ? ` (the first ${refused.length})` : ''}</summary>
          <ul>${refused.map(({ line, why }) => html`<li>Line ${line}: ${why}</li>`)}</ul></details>`
    }
  </div>`;
}

export function register(state: PortfolioState, actions: PortfolioActions, figures: Figures): TemplateResult {
  const { chosen, choice, shown, picked } = state;
  const columns: readonly FigureId[] = COLUMNS.includes(choice.figure) ? COLUMNS : [...COLUMNS, choice.figure];
  return html`${filters(state, actions)} ${totals(state, figures)}
    <div class="table-frame">
    <table>
      <thead><tr>
        ${heading('name', 'Garden', choice, actions)}
        ${columns.map((id) => heading(id, FIGURES[id].title, choice, actions))}
        <th scope="col"><span class="hidden-words">Open</span></th>
      </tr></thead>
      <tbody>
        ${chosen.slice(0, shown).map(
          (row) => html`<tr class=${row.id === picked ? 'picked' : ''} data-site=${row.id}>
            <th scope="row"><button type="button" class="name" aria-pressed=${row.id === picked} @click=${() => actions.pick(row.id)}>${row.name}</button>${row.state === 'planned' ? null : html` <span class="state" title=${row.problem ?? ''}>${STATES[row.state]}</span>`}</th>
            ${columns.map((id) => html`<td>${words(row.figures[id], id, row.currency, figures)}</td>`)}
            <td><a href=${`./#kept=${encodeURIComponent(row.id)}`} aria-label=${`Open ${row.name}`}>open</a></td>
          </tr>`,
        )}
      </tbody>
    </table>
    </div>
    ${chosen.length > shown ? html`<button type="button" class="more" @click=${actions.showMore}>Show more of the ${chosen.length}</button>` : null}`;
}

function heading(
  id: FigureId | 'name',
  title: string,
  { sortBy, descending }: Choice,
  actions: PortfolioActions,
): TemplateResult {
  const sorted = sortBy === id;
  return html`<th scope="col" aria-sort=${sorted ? (descending ? 'descending' : 'ascending') : 'none'}>
    <button type="button" @click=${() => actions.choose({ sortBy: id, descending: sorted ? !descending : id !== 'name' })}>${title}<span aria-hidden="true">${sorted ? (descending ? ' ↓' : ' ↑') : ''}</span></button>
  </th>`;
}

function filters({ choice }: PortfolioState, actions: PortfolioActions): TemplateResult {
  const bound = (event: Event): number | null => {
    const { value } = event.currentTarget as HTMLInputElement;
    return value === '' ? null : Number(value);
  };
  return html`<form class="filters" autocomplete="off" @submit=${(event: Event) => event.preventDefault()}>
    <label>Name <input type="search" id="find" .value=${choice.text} @input=${(event: Event) => actions.choose({ text: (event.currentTarget as HTMLInputElement).value })} /></label>
    <label>State <select id="state" @change=${(event: Event) => actions.choose({ state: stateNamed((event.currentTarget as HTMLSelectElement).value) })}>
      ${Object.entries(STATES).map(([id, title]) => html`<option value=${id} ?selected=${id === choice.state}>${title}</option>`)}
    </select></label>
    <label>Colour by <select id="figure" @change=${(event: Event) => {
      const wanted = (event.currentTarget as HTMLSelectElement).value;
      const figure = FIGURE_IDS.find((id) => id === wanted);
      if (figure !== undefined) actions.choose({ figure, from: null, to: null });
    }}>
      ${FIGURE_IDS.map((id) => html`<option value=${id} ?selected=${id === choice.figure}>${FIGURES[id].title}</option>`)}
    </select></label>
    <label>from <input type="number" id="from" .value=${choice.from === null ? '' : String(choice.from)} @change=${(event: Event) => actions.choose({ from: bound(event) })} /></label>
    <label>to <input type="number" id="to" .value=${choice.to === null ? '' : String(choice.to)} @change=${(event: Event) => actions.choose({ to: bound(event) })} /></label>
  </form>`;
}

function stateNamed(value: string): Choice['state'] {
  return value === 'planned' || value === 'refused' || value === 'queued' ? value : 'all';
}

function totals({ chosen }: PortfolioState, figures: Figures): TemplateResult {
  const { count, planned, refused, lawnAreaM2, routeLengthM, handMowAreaM2, prices } = totalsOf(chosen);
  const cells = [
    ['Chosen', figures.count(count)],
    ['Planned', figures.count(planned)],
    ['Cannot be planned', figures.count(refused)],
    ['Lawn', figures.area(lawnAreaM2)],
    ['Wire', figures.length(routeLengthM)],
    ['Mown by hand', figures.area(handMowAreaM2)],
    ['Price', prices.map(({ currency, amount }) => figures.price(amount, currency)).join(', ') || '–'],
  ];
  return html`<dl class="totals" aria-live="polite">${cells.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}</dl>`;
}

/** The key of the washes: how many gardens in each, and from where to where. */
export function classes(
  { chosen, choice, breaks, rows }: PortfolioState,
  actions: PortfolioActions,
  figures: Figures,
): TemplateResult | null {
  if (rows === null || rows.length === 0) return null;
  const ranges = Array.from({ length: breaks.length + 1 }, (_, i) => ({
    wash: WASHES[spread(i, breaks.length)],
    from: i === 0 ? null : breaks[i - 1],
    to: i === breaks.length ? null : breaks[i],
  }));
  const said = (value: number) => words(value, choice.figure, chosen[0]?.currency ?? '', figures);
  const label = ({ from, to }: (typeof ranges)[number]): string => {
    if (from === null && to === null) return 'all of them';
    if (from === null) return `under ${said(to ?? 0)}`;
    return to === null ? `${said(from)} and more` : `${said(from)} to ${said(to)}`;
  };
  return html`<div class="key-box"><h2>${FIGURES[choice.figure].title}</h2>
    <ul>${ranges.map((range) => html`<li><svg viewBox="0 0 22 14" width="22" height="14" aria-hidden="true"><rect x="0.5" y="0.5" width="21" height="13" fill=${range.wash} stroke="currentColor" /></svg>${label(range)}</li>`)}</ul>
    <button type="button" @click=${actions.showAll}>Show all</button></div>`;
}

function words(value: number | null, id: FigureId, currency: string, figures: Figures): string {
  if (value === null) return '–';
  const { kind } = FIGURES[id];
  if (kind === 'price') return currency === '' ? '–' : figures.price(value, currency);
  return figures[kind](value);
}
