import { html, type TemplateResult } from 'lit';
import { ref } from 'lit/directives/ref.js';
import { BEYONDS, type Beyond, SITE_KINDS } from '#geo-core/model/site.ts';
import { isLawn, type TableState } from '../draw/draw-session.ts';
import { edgeAlong } from '../draw/mark-edge.ts';
import { cornersOf } from '../draw/positions.ts';
import { kindOf, type SiteFeature } from '../draw/site-document.ts';
import { betweenM, ringAreaM2 } from '../draw/table-frame.ts';
import { hintFor, TOOLS, toolFor } from '../draw/tools.ts';
import type { Figures } from '../figures.ts';
import { type Actions, figuresOf, type State } from '../state.ts';
import type { Say } from '../wording/words.ts';

const GROUPS = ['draw.ground', 'draw.inTheWay', 'draw.fittings'] as const;
const NUDGES = [
  { label: 'draw.north', east: 0, north: 1 },
  { label: 'draw.south', east: 0, north: -1 },
  { label: 'draw.west', east: -1, north: 0 },
  { label: 'draw.east', east: 1, north: 0 },
] as const;
const NUDGE_M = 0.1;
const NOT_SAID = '';

/** What the table writes with. */
type Pens = { readonly say: Say; readonly figures: Figures };

/** The drawing table: what can be drawn, the thing in hand with all its numbers, and everything that lies there. */
export function drawingTable(state: State, actions: Actions): TemplateResult | null {
  const { table, words } = state;
  if (table === null) return null;
  const { say } = words;
  const pens: Pens = { say, figures: figuresOf(state) };
  const selected = table.document.features.find(({ key }) => key === table.selected);
  const { name } = table.document.members;
  return html`<section class="table" aria-labelledby="table-title">
    <h2 id="table-title">${say('draw.title')}</h2>
    <div class="row of-three">
      <button type="button" ?disabled=${table.history.before.length === 0} @click=${actions.table.undo}>${say('draw.undo')}</button>
      <button type="button" ?disabled=${table.history.after.length === 0} @click=${actions.table.redo}>${say('draw.redo')}</button>
      <button type="button" @click=${actions.leaveTable}>${say('draw.done')}</button>
    </div>
    <p class="hint" aria-live="polite">${hint(table, pens)}</p>
    ${selected === undefined ? null : inHand(selected, table, pens, actions)}
    ${palette(table, pens, actions)}
    ${everything(table, pens, actions)}
    <label><span class="name">${say('draw.gardenName')}</span>
      <input
        type="text"
        id="garden-name"
        .value=${typeof name === 'string' ? name : ''}
        @change=${(event: Event) => actions.table.rename((event.currentTarget as HTMLInputElement).value)}
      />
    </label>
  </section>`;
}

function palette({ tool, rightAngles }: TableState, pens: Pens, actions: Actions): TemplateResult {
  return html`${GROUPS.map(
    (group) => html`<fieldset class="palette">
      <legend>${pens.say(group)}</legend>
      ${TOOLS.filter((each) => each.group === group).map(
        ({ kind }) => html`<button
          type="button"
          data-tool=${kind}
          aria-pressed=${tool === kind}
          @click=${() => actions.table.take(tool === kind ? null : kind)}
        >${pens.say(`kind.${kind}`)}</button>`,
      )}
    </fieldset>`,
  )}
  <label class="tick">
    <input
      type="checkbox"
      .checked=${rightAngles}
      @change=${(event: Event) => actions.table.keepRightAngles((event.currentTarget as HTMLInputElement).checked)}
    />
    <span>${pens.say('draw.rightAngles')}</span>
  </label>
  ${tool === null || tool === 'split' ? null : bySize(tool, pens, actions)}`;
}

/** The way without a pointer: a thing of a given size in the middle of the view. */
function bySize(
  tool: NonNullable<Exclude<TableState['tool'], 'split'>>,
  { say, figures }: Pens,
  actions: Actions,
): TemplateResult {
  const isPlace = toolFor(tool)?.pencil === 'place';
  const unit = figures.lengthUnit;
  const add = (event: Event): void => {
    event.preventDefault();
    const form = new FormData(event.currentTarget as HTMLFormElement);
    const sizeM = (name: string): number => figures.fromLength(Number(form.get(name) ?? 1));
    actions.table.addBySize(tool, sizeM('width'), sizeM('depth'));
  };
  return html`<form class="by-size" @submit=${add}>
    ${
      isPlace
        ? null
        : html`<label>${say('draw.width', { unit })} <input name="width" type="number" min="0.1" max="5000" step="0.01" value=${figures.lengthUnit === 'm' ? 10 : 30} required /></label>
          <label>${say('draw.depth', { unit })} <input name="depth" type="number" min="0.1" max="5000" step="0.01" value=${figures.lengthUnit === 'm' ? 8 : 25} required /></label>`
    }
    <button type="submit">${say('draw.putOne')}</button>
  </form>`;
}

function hint({ tool, growing, remark, frame, document }: TableState, { say, figures }: Pens): string {
  if (growing !== null) {
    const corners = growing.type === 'Polygon' ? growing.coordinates[0].slice(0, -1) : [];
    const line = growing.type === 'LineString' ? growing.coordinates : corners;
    const metres = line.map(frame.toMetres);
    const along = metres.slice(1).reduce((sum, to, i) => sum + betweenM(metres[i], to), 0);
    const lastM = metres.length < 2 ? 0 : betweenM(metres[metres.length - 2], metres[metres.length - 1]);
    const said = { side: figures.exactLength(lastM), far: figures.exactLength(along) };
    return corners.length > 2
      ? say('draw.growingArea', { ...said, area: figures.exactArea(ringAreaM2(metres)) })
      : say('draw.growing', said);
  }
  if (remark !== null) return say(remark);
  if (tool === 'split') return say('draw.hintSplit');
  const pencil = tool === null ? undefined : toolFor(tool)?.pencil;
  if (pencil !== undefined) return say(hintFor(pencil));
  return say(document.features.length === 0 ? 'draw.hintBegin' : 'draw.hintPick');
}

function inHand(feature: SiteFeature, table: TableState, pens: Pens, actions: Actions): TemplateResult {
  const { say, figures } = pens;
  const tool = toolFor(kindOf(feature));
  const corners = cornersOf(feature.geometry);
  const others = table.document.features.filter(
    (each) => each.key !== feature.key && kindOf(each) === kindOf(feature) && each.geometry.type === 'Polygon',
  );
  return html`<div class="in-hand" role="group" aria-labelledby="in-hand-title">
    <h3 id="in-hand-title">${nameOf(feature, say)}${corners === undefined ? '' : `, ${figures.exactArea(ringAreaM2(corners.map(table.frame.toMetres)))}`}</h3>
    ${field(say('draw.name'), 'text', text(feature.properties.name), (value) => actions.table.setProperty('name', value === '' ? null : value))}
    ${(tool?.fields ?? []).map(({ name, unit }) => sizeField(name, unit, feature, pens, actions))}
    ${
      kindOf(feature) === 'obstacle'
        ? html`<label class="tick"><input type="checkbox" .checked=${feature.properties.rigid === true} @change=${(event: Event) => actions.table.setProperty('rigid', (event.currentTarget as HTMLInputElement).checked)} /><span>${say('draw.bumps')}</span></label>`
        : null
    }
    <div class="row moves-by" role="group" aria-label=${say('draw.moveBy')}>
      ${NUDGES.map(({ label, east, north }) => html`<button type="button" @click=${() => actions.table.nudge(east * NUDGE_M, north * NUDGE_M)}>${say(label)}</button>`)}
    </div>
    <div class="row">
      ${
        corners === undefined
          ? null
          : html`<button type="button" @click=${actions.table.square}>${say('draw.square')}</button>
            <button type="button" aria-pressed=${table.tool === 'split'} @click=${() => actions.table.take('split')}>${say('draw.split')}</button>`
      }
      <button type="button" @click=${actions.table.remove}>${say('draw.remove')}</button>
    </div>
    ${
      others.length === 0
        ? null
        : html`<label><span class="name">${say('draw.makeOneWith')}</span>
          <select
            .value=${NOT_SAID}
            @change=${(event: Event) => {
              const select = event.currentTarget as HTMLSelectElement;
              if (select.value !== NOT_SAID) actions.table.mergeWith(select.value);
              select.value = NOT_SAID;
            }}
          >
            <option value=${NOT_SAID}>${say('draw.another')}</option>
            ${others.map((other) => html`<option value=${other.key}>${nameOf(other, say)} ${sizeOf(other, table, pens)}</option>`)}
          </select></label>`
    }
    ${corners === undefined ? null : cornersTable(feature, table, pens, actions)}
  </div>`;
}

/** Every corner in metres from the middle of the table, every side with its length and what lies beyond it. */
function cornersTable(
  feature: SiteFeature,
  table: TableState,
  { say, figures }: Pens,
  actions: Actions,
): TemplateResult {
  const { lengthUnit: unit, toLength, fromLength } = figures;
  const unitName = say(unit === 'm' ? 'unit.metres' : 'unit.feet');
  const corners = cornersOf(feature.geometry) ?? [];
  const metres = corners.map(table.frame.toMetres);
  const hasEdges = isLawn(feature);
  return html`<details class="corners" open>
    <summary>${say('draw.corners')} <span class="quiet">${corners.length}</span></summary>
    <table>
      <thead><tr><th scope="col">${say('draw.corner')}</th><th scope="col">${say('draw.eastIn', { unit })}</th><th scope="col">${say('draw.northIn', { unit })}</th><th scope="col">${say('draw.sideIn', { unit })}</th>${hasEdges ? html`<th scope="col">${say('draw.beyond')}</th>` : null}</tr></thead>
      <tbody>
        ${metres.map(([east, north], i) => {
          const next = (i + 1) % corners.length;
          const marked = edgeAlong(table.document, [corners[i], corners[next]]);
          return html`<tr class=${table.side === i ? 'touched' : ''}>
            <th scope="row">${i + 1}</th>
            <td>${cell(say('draw.cornerEast', { n: i + 1, unit: unitName }), toLength(east), (value) => actions.table.moveCorner(i, [fromLength(value), north]))}</td>
            <td>${cell(say('draw.cornerNorth', { n: i + 1, unit: unitName }), toLength(north), (value) => actions.table.moveCorner(i, [east, fromLength(value)]))}</td>
            <td>${cell(say('draw.sideLength', { n: i + 1, next: next + 1, unit: unitName }), toLength(betweenM(metres[i], metres[next])), (value) => actions.table.setSide(i, fromLength(value)))}</td>
            ${hasEdges ? html`<td>${beyondChoice(i, marked?.properties.beyond, table.side === i, say, actions)}</td>` : null}
          </tr>`;
        })}
      </tbody>
    </table>
  </details>`;
}

function beyondChoice(side: number, beyond: unknown, touched: boolean, say: Say, actions: Actions): TemplateResult {
  const show = (select: Element | undefined): void => {
    if (touched && select instanceof HTMLSelectElement && document.activeElement !== select) select.focus();
  };
  return html`<select
    aria-label=${say('draw.beyondSide', { n: side + 1 })}
    data-side=${side}
    .value=${text(beyond)}
    ${ref(show)}
    @change=${(event: Event) => {
      const { value } = event.currentTarget as HTMLSelectElement;
      actions.table.markSide(side, BEYONDS.find((known): known is Beyond => known === value) ?? null);
    }}
  >
    <option value=${NOT_SAID} ?selected=${beyond === undefined}>${say('draw.notSaid')}</option>
    ${BEYONDS.map((each) => html`<option value=${each} ?selected=${each === beyond}>${say(`beyond.${each}`)}</option>`)}
  </select>`;
}

function everything(table: TableState, pens: Pens, actions: Actions): TemplateResult | null {
  if (table.document.features.length === 0) return null;
  return html`<details class="everything">
    <summary>${pens.say('draw.everything')} <span class="quiet">${table.document.features.length}</span></summary>
    <ul class="plain-list">
      ${table.document.features.map(
        (feature) => html`<li><button
          type="button"
          class="thing"
          aria-pressed=${feature.key === table.selected}
          @click=${() => actions.table.select(feature.key)}
        >${nameOf(feature, pens.say)} <span class="quiet">${sizeOf(feature, table, pens)}</span></button></li>`,
      )}
    </ul>
  </details>`;
}

function nameOf(feature: SiteFeature, say: Say): string {
  const kind = kindOf(feature);
  const { name, beyond } = feature.properties;
  const known = SITE_KINDS.find((each) => each === kind);
  const said = BEYONDS.find((each) => each === beyond);
  const label =
    said === undefined
      ? known === undefined
        ? kind
        : say(`kind.${known}`)
      : say('draw.edgeOf', { beyond: say(`beyond.${said}`) });
  return typeof name === 'string' && name !== '' ? say('draw.named', { kind: label, name }) : label;
}

function sizeOf({ geometry, properties }: SiteFeature, { frame }: TableState, { say, figures }: Pens): string {
  if (geometry.type === 'Polygon')
    return figures.exactArea(ringAreaM2(geometry.coordinates[0].slice(0, -1).map(frame.toMetres)));
  if (geometry.type === 'LineString') {
    const metres = geometry.coordinates.map(frame.toMetres);
    return figures.exactLength(metres.slice(1).reduce((sum, to, i) => sum + betweenM(metres[i], to), 0));
  }
  return typeof properties.radius === 'number'
    ? say('draw.radiusOf', { length: figures.exactLength(properties.radius) })
    : '';
}

function field(label: string, type: 'text' | 'number', value: string, set: (value: string) => void): TemplateResult {
  return html`<label class="field"><span class="name">${label}</span>
    <input type=${type} step="0.01" .value=${value} @change=${(event: Event) => set((event.currentTarget as HTMLInputElement).value)} />
  </label>`;
}

/** A size in the unit of the page, or degrees. */
function sizeField(
  name: 'radius' | 'height' | 'heading',
  unit: 'm' | '°',
  { properties }: SiteFeature,
  { say, figures }: Pens,
  actions: Actions,
): TemplateResult {
  const isLength = unit === 'm';
  const { [name]: given } = properties;
  const shown = typeof given === 'number' && isLength ? Number(figures.toLength(given).toFixed(3)) : given;
  return field(say(`draw.${name}`, { unit: isLength ? figures.lengthUnit : unit }), 'number', text(shown), (value) => {
    const written = isLength ? figures.fromLength(Number(value)) : Number(value);
    actions.table.setProperty(name, value === '' ? null : written);
  });
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
