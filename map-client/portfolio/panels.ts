import { html, type TemplateResult } from 'lit';
import type { Figures } from '../figures.ts';
import { keyForm } from '../panels/key-form.ts';
import { wordChoice } from '../panels/word-choice.ts';
import type { Units } from '../wording/chosen-words.ts';
import type { Language, Say, Words } from '../wording/words.ts';
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
  readonly words: Words;
  readonly units: Units;
};

export type PortfolioActions = {
  readonly choose: (change: Partial<Choice>) => void;
  readonly pick: (id: string) => void;
  readonly showMore: () => void;
  readonly openFile: (file: File) => void;
  readonly stopUpload: () => void;
  readonly giveKey: (key: string) => void;
  readonly showAll: () => void;
  readonly chooseLanguage: (language: Language) => void;
  readonly chooseUnits: (units: Units) => void;
};

const FIGURES: Readonly<Record<FigureId, 'length' | 'area' | 'hours' | 'price' | 'count' | 'percent'>> = {
  routeLengthM: 'length',
  lawnAreaM2: 'area',
  handMowAreaM2: 'area',
  hoursPerWeek: 'hours',
  priceTotal: 'price',
  zoneCount: 'count',
  maxSlopePct: 'percent',
  stops: 'count',
  cautions: 'count',
  pegCount: 'count',
};
/** What fits beside a map; the figure that colours it is shown too. */
const COLUMNS: readonly FigureId[] = ['lawnAreaM2', 'routeLengthM', 'priceTotal', 'stops'];
const STATES = ['all', 'planned', 'refused', 'queued'] as const;

export function head(state: PortfolioState, actions: PortfolioActions): TemplateResult {
  const { rows, upload, wantsKey, said, words } = state;
  const { say } = words;
  return html`<h1>${say('register.title')}</h1>
    <p class="soft">${said === '' ? counts(rows, say) : said}</p>
    <div class="tools">
      <a class="button" href="./">${say('register.toDrawing')}</a>
      <label class="button"><input type="file" id="sites" accept=".geojson,.json,.geojsonl,.ndjson,.geojsons,.jsonl" @change=${(
        event: Event,
      ) => {
        const input = event.currentTarget as HTMLInputElement;
        const [file] = input.files ?? [];
        if (file !== undefined) actions.openFile(file);
        input.value = '';
      }} /><span>${say('register.addFile')}</span></label>
      ${wordChoice(state, actions)}
    </div>
    ${wantsKey ? keyForm(actions.giveKey, say) : null}
    ${upload === null ? null : progress(upload, actions, say)}`;
}

function counts(rows: PortfolioState['rows'], say: Say): string {
  if (rows === null) return say('register.reading');
  if (rows.length === 0) return say('register.nothing');
  const kept = say('register.count', { n: rows.length });
  return rows.length >= ROWS_MAX ? `${kept} ${say('register.first')}` : kept;
}

function progress(
  { fileName, readBytes, allBytes, kept, refusedCount, refused, done }: UploadState,
  actions: PortfolioActions,
  say: Say,
): TemplateResult {
  return html`<div class="upload" role="status">
    <label>${say('register.uploadKept', { file: fileName, n: kept })}${refusedCount === 0 ? '' : say('register.uploadRefused', { n: refusedCount })}${done ? say('register.uploadDone') : ''}
      <progress max=${allBytes} .value=${readBytes}></progress></label>
    ${done ? null : html`<button type="button" @click=${actions.stopUpload}>${say('register.stop')}</button>`}
    ${
      refusedCount === 0
        ? null
        : html`<details><summary>${say(refused.length < refusedCount ? 'register.whyFirst' : 'register.why', { n: refusedCount, first: refused.length })}</summary>
          <ul>${refused.map(({ line, why }) => html`<li>${say('register.line', { n: line, why })}</li>`)}</ul></details>`
    }
  </div>`;
}

export function register(state: PortfolioState, actions: PortfolioActions, figures: Figures): TemplateResult {
  const { chosen, choice, shown, picked, words } = state;
  const { say } = words;
  const columns: readonly FigureId[] = COLUMNS.includes(choice.figure) ? COLUMNS : [...COLUMNS, choice.figure];
  return html`${filters(state, actions)} ${totals(state, figures)}
    <div class="table-frame">
    <table>
      <thead><tr>
        ${heading('name', say('register.garden'), choice, actions)}
        ${columns.map((id) => heading(id, say(`register.${id}`), choice, actions))}
        <th scope="col"><span class="hidden-words">${say('register.open')}</span></th>
      </tr></thead>
      <tbody>
        ${chosen.slice(0, shown).map(
          (row) => html`<tr class=${row.id === picked ? 'picked' : ''} data-site=${row.id}>
            <th scope="row"><button type="button" class="name" aria-pressed=${row.id === picked} @click=${() => actions.pick(row.id)}>${row.name}</button>${row.state === 'planned' ? null : html` <span class="state" title=${row.problem ?? ''}>${say(`register.${row.state}`)}</span>`}</th>
            ${columns.map((id) => html`<td>${written(row.figures[id], id, row.currency, figures)}</td>`)}
            <td><a href=${`./#kept=${encodeURIComponent(row.id)}`} aria-label=${say('register.openNamed', { name: row.name })}>${say('register.open')}</a></td>
          </tr>`,
        )}
      </tbody>
    </table>
    </div>
    ${chosen.length > shown ? html`<button type="button" class="more" @click=${actions.showMore}>${say('register.more', { n: chosen.length })}</button>` : null}`;
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

function filters({ choice, words: { say } }: PortfolioState, actions: PortfolioActions): TemplateResult {
  const bound = (event: Event): number | null => {
    const { value } = event.currentTarget as HTMLInputElement;
    return value === '' ? null : Number(value);
  };
  return html`<form class="filters" autocomplete="off" @submit=${(event: Event) => event.preventDefault()}>
    <label>${say('register.find')} <input type="search" id="find" .value=${choice.text} @input=${(event: Event) => actions.choose({ text: (event.currentTarget as HTMLInputElement).value })} /></label>
    <label>${say('register.state')} <select id="state" @change=${(event: Event) => actions.choose({ state: stateNamed((event.currentTarget as HTMLSelectElement).value) })}>
      ${STATES.map((id) => html`<option value=${id} ?selected=${id === choice.state}>${say(`register.${id}`)}</option>`)}
    </select></label>
    <label>${say('register.colourBy')} <select id="figure" @change=${(event: Event) => {
      const wanted = (event.currentTarget as HTMLSelectElement).value;
      const figure = FIGURE_IDS.find((id) => id === wanted);
      if (figure !== undefined) actions.choose({ figure, from: null, to: null });
    }}>
      ${FIGURE_IDS.map((id) => html`<option value=${id} ?selected=${id === choice.figure}>${say(`register.${id}`)}</option>`)}
    </select></label>
    <label>${say('register.from')} <input type="number" id="from" .value=${choice.from === null ? '' : String(choice.from)} @change=${(event: Event) => actions.choose({ from: bound(event) })} /></label>
    <label>${say('register.to')} <input type="number" id="to" .value=${choice.to === null ? '' : String(choice.to)} @change=${(event: Event) => actions.choose({ to: bound(event) })} /></label>
  </form>`;
}

function stateNamed(value: string): Choice['state'] {
  return value === 'planned' || value === 'refused' || value === 'queued' ? value : 'all';
}

function totals({ chosen, words: { say } }: PortfolioState, figures: Figures): TemplateResult {
  const { count, planned, refused, lawnAreaM2, routeLengthM, handMowAreaM2, prices } = totalsOf(chosen);
  const cells = [
    [say('register.chosen'), figures.count(count)],
    [say('register.plannedCount'), figures.count(planned)],
    [say('register.refusedCount'), figures.count(refused)],
    [say('register.lawnAreaM2'), figures.area(lawnAreaM2)],
    [say('register.routeLengthM'), figures.length(routeLengthM)],
    [say('register.handMowAreaM2'), figures.area(handMowAreaM2)],
    [
      say('register.priceTotal'),
      prices.map(({ currency, amount }) => figures.price(amount, currency)).join(', ') || '–',
    ],
  ];
  return html`<dl class="totals" aria-live="polite">${cells.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}</dl>`;
}

/** The key of the washes: how many gardens in each, and from where to where. */
export function classes(
  { chosen, choice, breaks, rows, words: { say } }: PortfolioState,
  actions: PortfolioActions,
  figures: Figures,
): TemplateResult | null {
  if (rows === null || rows.length === 0) return null;
  const ranges = Array.from({ length: breaks.length + 1 }, (_, i) => ({
    wash: WASHES[spread(i, breaks.length)],
    from: i === 0 ? null : breaks[i - 1],
    to: i === breaks.length ? null : breaks[i],
  }));
  const said = (value: number) => written(value, choice.figure, chosen[0]?.currency ?? '', figures);
  const label = ({ from, to }: (typeof ranges)[number]): string => {
    if (from === null && to === null) return say('register.allOfThem');
    if (from === null) return say('register.under', { to: said(to ?? 0) });
    return to === null
      ? say('register.andMore', { from: said(from) })
      : say('register.between', { from: said(from), to: said(to) });
  };
  return html`<div class="key-box"><h2>${say(`register.${choice.figure}`)}</h2>
    <ul>${ranges.map((range) => html`<li><svg viewBox="0 0 22 14" width="22" height="14" aria-hidden="true"><rect x="0.5" y="0.5" width="21" height="13" fill=${range.wash} stroke="currentColor" /></svg>${label(range)}</li>`)}</ul>
    <button type="button" @click=${actions.showAll}>${say('register.showAll')}</button></div>`;
}

function written(value: number | null, id: FigureId, currency: string, figures: Figures): string {
  if (value === null) return '–';
  const kind = FIGURES[id];
  if (kind === 'price') return currency === '' ? '–' : figures.price(value, currency);
  return figures[kind](value);
}
