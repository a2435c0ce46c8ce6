import { html, type TemplateResult } from 'lit';
import { ref } from 'lit/directives/ref.js';
import { BEYONDS, type Beyond } from '#geo-core/model/site.ts';
import { isLawn, type TableState } from '../draw/draw-session.ts';
import { edgeAlong } from '../draw/mark-edge.ts';
import { cornersOf } from '../draw/positions.ts';
import { kindOf, type SiteFeature } from '../draw/site-document.ts';
import { betweenM, ringAreaM2 } from '../draw/table-frame.ts';
import { hintFor, TOOLS, toolFor } from '../draw/tools.ts';
import { createFigures, type Figures } from '../figures.ts';
import type { Actions, State } from '../state.ts';

const GROUPS = ['Ground', 'In the way', 'Fittings'] as const;
const NUDGES = [
  { label: 'North', east: 0, north: 1 },
  { label: 'South', east: 0, north: -1 },
  { label: 'West', east: -1, north: 0 },
  { label: 'East', east: 1, north: 0 },
] as const;
const NUDGE_M = 0.1;
const NOT_SAID = '';

/** The drawing table: what can be drawn, the thing in hand with all its numbers, and everything that lies there. */
export function drawingTable({ table, drawing }: State, actions: Actions): TemplateResult | null {
  if (table === null) return null;
  const figures = createFigures(drawing?.locale ?? 'en', drawing?.units ?? 'metric');
  const selected = table.document.features.find(({ key }) => key === table.selected);
  const { name } = table.document.members;
  return html`<section class="table" aria-labelledby="table-title">
    <h2 id="table-title">Drawing table</h2>
    <div class="row of-three">
      <button type="button" ?disabled=${table.history.before.length === 0} @click=${actions.table.undo}>Undo</button>
      <button type="button" ?disabled=${table.history.after.length === 0} @click=${actions.table.redo}>Redo</button>
      <button type="button" @click=${actions.leaveTable}>Done</button>
    </div>
    <p class="hint" aria-live="polite">${hint(table, figures)}</p>
    ${selected === undefined ? null : inHand(selected, table, figures, actions)}
    ${palette(table, actions)}
    ${everything(table, figures, actions)}
    <label><span class="name">Name of the garden</span>
      <input
        type="text"
        id="garden-name"
        .value=${typeof name === 'string' ? name : ''}
        @change=${(event: Event) => actions.table.rename((event.currentTarget as HTMLInputElement).value)}
      />
    </label>
  </section>`;
}

function palette({ tool, rightAngles }: TableState, actions: Actions): TemplateResult {
  return html`${GROUPS.map(
    (group) => html`<fieldset class="palette">
      <legend>${group}</legend>
      ${TOOLS.filter((each) => each.group === group).map(
        ({ kind, label }) => html`<button
          type="button"
          data-tool=${kind}
          aria-pressed=${tool === kind}
          @click=${() => actions.table.take(tool === kind ? null : kind)}
        >${label}</button>`,
      )}
    </fieldset>`,
  )}
  <label class="tick">
    <input
      type="checkbox"
      .checked=${rightAngles}
      @change=${(event: Event) => actions.table.keepRightAngles((event.currentTarget as HTMLInputElement).checked)}
    />
    <span>Keep right angles while drawing</span>
  </label>
  ${tool === null || tool === 'split' ? null : bySize(tool, actions)}`;
}

/** The way without a pointer: a thing of a given size in the middle of the view. */
function bySize(tool: NonNullable<Exclude<TableState['tool'], 'split'>>, actions: Actions): TemplateResult {
  const isPlace = toolFor(tool)?.pencil === 'place';
  const add = (event: Event): void => {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    actions.table.addBySize(tool, Number(form.get('width') ?? 1), Number(form.get('depth') ?? 1));
  };
  return html`<form class="by-size" @submit=${add}>
    ${
      isPlace
        ? null
        : html`<label>Width, m <input name="width" type="number" min="0.1" max="1000" step="0.01" value="10" required /></label>
          <label>Depth, m <input name="depth" type="number" min="0.1" max="1000" step="0.01" value="8" required /></label>`
    }
    <button type="submit">Put one in the middle</button>
  </form>`;
}

function hint({ tool, growing, remark, frame, document }: TableState, figures: Figures): string {
  if (growing !== null) {
    const corners = growing.type === 'Polygon' ? growing.coordinates[0].slice(0, -1) : [];
    const line = growing.type === 'LineString' ? growing.coordinates : corners;
    const metres = line.map(frame.toMetres);
    const along = metres.slice(1).reduce((sum, to, i) => sum + betweenM(metres[i], to), 0);
    const lastM = metres.length < 2 ? 0 : betweenM(metres[metres.length - 2], metres[metres.length - 1]);
    const area = corners.length > 2 ? `, ${figures.exactArea(ringAreaM2(metres))}` : '';
    return `This side ${figures.exactLength(lastM)}, so far ${figures.exactLength(along)}${area}.`;
  }
  if (remark !== null) return remark;
  if (tool === 'split') return 'Draw a line right across it, from outside to outside.';
  const pencil = tool === null ? undefined : toolFor(tool)?.pencil;
  if (pencil !== undefined) return hintFor(pencil);
  return document.features.length === 0
    ? 'Begin with the lawn, or with the parcel and its buildings: the lawn is then what is left.'
    : 'Click a thing to take it in hand; pull its corners, or the dots between them.';
}

function inHand(feature: SiteFeature, table: TableState, figures: Figures, actions: Actions): TemplateResult {
  const tool = toolFor(kindOf(feature));
  const corners = cornersOf(feature.geometry);
  const others = table.document.features.filter(
    (each) => each.key !== feature.key && kindOf(each) === kindOf(feature) && each.geometry.type === 'Polygon',
  );
  return html`<div class="in-hand" role="group" aria-labelledby="in-hand-title">
    <h3 id="in-hand-title">${nameOf(feature)}${corners === undefined ? '' : `, ${figures.exactArea(ringAreaM2(corners.map(table.frame.toMetres)))}`}</h3>
    ${field('Name', 'text', text(feature.properties.name), '', (value) => actions.table.setProperty('name', value === '' ? null : value))}
    ${(tool?.fields ?? []).map(({ name, label, unit }) =>
      field(label, 'number', text(feature.properties[name]), unit, (value) =>
        actions.table.setProperty(name, value === '' ? null : Number(value)),
      ),
    )}
    ${
      kindOf(feature) === 'obstacle'
        ? html`<label class="tick"><input type="checkbox" .checked=${feature.properties.rigid === true} @change=${(event: Event) => actions.table.setProperty('rigid', (event.currentTarget as HTMLInputElement).checked)} /><span>Stands a gentle bump</span></label>`
        : null
    }
    <div class="row moves-by" role="group" aria-label="Move by ten centimetres">
      ${NUDGES.map(({ label, east, north }) => html`<button type="button" @click=${() => actions.table.nudge(east * NUDGE_M, north * NUDGE_M)}>${label}</button>`)}
    </div>
    <div class="row">
      ${
        corners === undefined
          ? null
          : html`<button type="button" @click=${actions.table.square}>Make corners square</button>
            <button type="button" aria-pressed=${table.tool === 'split'} @click=${() => actions.table.take('split')}>Split</button>`
      }
      <button type="button" @click=${actions.table.remove}>Remove</button>
    </div>
    ${
      others.length === 0
        ? null
        : html`<label><span class="name">Make one with</span>
          <select
            .value=${NOT_SAID}
            @change=${(event: Event) => {
              const select = event.currentTarget as HTMLSelectElement;
              if (select.value !== NOT_SAID) actions.table.mergeWith(select.value);
              select.value = NOT_SAID;
            }}
          >
            <option value=${NOT_SAID}>choose another</option>
            ${others.map((other) => html`<option value=${other.key}>${nameOf(other)} ${sizeOf(other, table, figures)}</option>`)}
          </select></label>`
    }
    ${corners === undefined ? null : cornersTable(feature, table, actions)}
  </div>`;
}

/** Every corner in metres from the middle of the table, every side with its length and what lies beyond it. */
function cornersTable(feature: SiteFeature, table: TableState, actions: Actions): TemplateResult {
  const corners = cornersOf(feature.geometry) ?? [];
  const metres = corners.map(table.frame.toMetres);
  const hasEdges = isLawn(feature);
  return html`<details class="corners" open>
    <summary>Corners and sides <span class="quiet">${corners.length}</span></summary>
    <table>
      <thead><tr><th scope="col">Corner</th><th scope="col">East, m</th><th scope="col">North, m</th><th scope="col">Side, m</th>${hasEdges ? html`<th scope="col">Beyond it</th>` : null}</tr></thead>
      <tbody>
        ${metres.map(([east, north], i) => {
          const next = (i + 1) % corners.length;
          const marked = edgeAlong(table.document, [corners[i], corners[next]]);
          return html`<tr class=${table.side === i ? 'touched' : ''}>
            <th scope="row">${i + 1}</th>
            <td>${cell(`Corner ${i + 1}, metres east`, east, (value) => actions.table.moveCorner(i, [value, north]))}</td>
            <td>${cell(`Corner ${i + 1}, metres north`, north, (value) => actions.table.moveCorner(i, [east, value]))}</td>
            <td>${cell(`Side ${i + 1} to ${next + 1}, metres`, betweenM(metres[i], metres[next]), (value) => actions.table.setSide(i, value))}</td>
            ${hasEdges ? html`<td>${beyondChoice(i, marked?.properties.beyond, table.side === i, actions)}</td>` : null}
          </tr>`;
        })}
      </tbody>
    </table>
  </details>`;
}

function beyondChoice(side: number, beyond: unknown, touched: boolean, actions: Actions): TemplateResult {
  const show = (select: Element | undefined): void => {
    if (touched && select instanceof HTMLSelectElement && document.activeElement !== select) select.focus();
  };
  return html`<select
    aria-label=${`What lies beyond side ${side + 1}`}
    data-side=${side}
    .value=${text(beyond)}
    ${ref(show)}
    @change=${(event: Event) => {
      const { value } = event.currentTarget as HTMLSelectElement;
      actions.table.markSide(side, BEYONDS.find((known): known is Beyond => known === value) ?? null);
    }}
  >
    <option value=${NOT_SAID} ?selected=${beyond === undefined}>not said</option>
    ${BEYONDS.map((each) => html`<option value=${each} ?selected=${each === beyond}>${each.replace('-', ' ')}</option>`)}
  </select>`;
}

function everything(table: TableState, figures: Figures, actions: Actions): TemplateResult | null {
  if (table.document.features.length === 0) return null;
  return html`<details class="everything">
    <summary>Everything drawn <span class="quiet">${table.document.features.length}</span></summary>
    <ul class="plain-list">
      ${table.document.features.map(
        (feature) => html`<li><button
          type="button"
          class="thing"
          aria-pressed=${feature.key === table.selected}
          @click=${() => actions.table.select(feature.key)}
        >${nameOf(feature)} <span class="quiet">${sizeOf(feature, table, figures)}</span></button></li>`,
      )}
    </ul>
  </details>`;
}

function nameOf(feature: SiteFeature): string {
  const kind = kindOf(feature);
  const { name, beyond } = feature.properties;
  const label = kind === 'edge' ? `Edge: ${text(beyond).replace('-', ' ')}` : (toolFor(kind)?.label ?? kind);
  return typeof name === 'string' && name !== '' ? `${label} “${name}”` : label;
}

function sizeOf({ geometry, properties }: SiteFeature, { frame }: TableState, figures: Figures): string {
  if (geometry.type === 'Polygon')
    return figures.exactArea(ringAreaM2(geometry.coordinates[0].slice(0, -1).map(frame.toMetres)));
  if (geometry.type === 'LineString') {
    const metres = geometry.coordinates.map(frame.toMetres);
    return figures.exactLength(metres.slice(1).reduce((sum, to, i) => sum + betweenM(metres[i], to), 0));
  }
  return typeof properties.radius === 'number' ? `radius ${figures.exactLength(properties.radius)}` : '';
}

function field(
  label: string,
  type: 'text' | 'number',
  value: string,
  unit: string,
  set: (value: string) => void,
): TemplateResult {
  return html`<label class="field"><span class="name">${label}${unit === '' ? '' : `, ${unit}`}</span>
    <input type=${type} step="0.01" .value=${value} @change=${(event: Event) => set((event.currentTarget as HTMLInputElement).value)} />
  </label>`;
}

/** A number with two decimals (a centimetre) that can be written over. */
function cell(label: string, value: number, set: (value: number) => void): TemplateResult {
  const shown = value.toFixed(2);
  return html`<input
    type="number"
    step="0.01"
    aria-label=${label}
    .value=${shown}
    @change=${(event: Event) => {
      const { value: written } = event.currentTarget as HTMLInputElement;
      if (written !== '' && written !== shown) set(Number(written));
    }}
  />`;
}

function text(value: unknown): string {
  return typeof value === 'string' || typeof value === 'number' ? String(value) : '';
}
