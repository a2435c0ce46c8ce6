import { html, type TemplateResult } from 'lit';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { GARDENS } from '../gardens.ts';
import type { Actions, State } from '../state.ts';

const OWN_FILE = 'own-file';
const SITE_FILE = 'site';
const AS_THE_SITE_ASKS = '';

function ownAbout({ ownFileName, keeping, words: { say } }: State): string {
  if (ownFileName === null) return '';
  return say(keeping.site === null ? 'choose.ownFile' : 'choose.kept');
}

/** Which garden, which rule set, and the way to one's own file. */
export function chooser(state: State, actions: Actions): TemplateResult {
  const { say } = state.words;
  // Listed after the formats of the plan, all at once: the first one in is the one that stays chosen.
  const siteAsFormat = { id: SITE_FILE, title: say('format.site') };
  const garden = GARDENS.find(({ key }) => key === state.gardenKey);
  const rules = RULE_SETS.find(({ name }) => name === (state.rules ?? state.drawing?.plan.rules.name));
  return html`<section class="chooser" aria-label=${say('choose.name')}>
    <label>
      <span class="name">${say('choose.garden')}</span>
      <select
        id="garden"
        .value=${state.gardenKey ?? OWN_FILE}
        @change=${(event: Event) => actions.chooseGarden((event.currentTarget as HTMLSelectElement).value)}
      >
        ${state.ownFileName === null ? null : html`<option value=${OWN_FILE} ?selected=${state.gardenKey === null}>${state.ownFileName}</option>`}
        ${[...new Set(GARDENS.map(({ group }) => group))].map(
          (group) => html`<optgroup label=${say(group)}>
            ${GARDENS.filter((listed) => listed.group === group).map(
              ({ key, title }) =>
                html`<option value=${key} lang="en" ?selected=${key === state.gardenKey}>${title}</option>`,
            )}
          </optgroup>`,
        )}
      </select>
    </label>
    ${garden === undefined ? html`<p class="about">${ownAbout(state)}</p>` : html`<p class="about" lang="en">${garden.about}</p>`}
    <label>
      <span class="name">${say('choose.rules')}</span>
      <select
        id="rules"
        .value=${state.rules ?? AS_THE_SITE_ASKS}
        @change=${(event: Event) => {
          const { value } = event.currentTarget as HTMLSelectElement;
          actions.chooseRules(value === AS_THE_SITE_ASKS ? null : value);
        }}
      >
        <option value=${AS_THE_SITE_ASKS} ?selected=${state.rules === null}>${say('choose.asTheGarden')}</option>
        ${RULE_SETS.map(({ name }) => html`<option value=${name} ?selected=${name === state.rules}>${name}</option>`)}
      </select>
    </label>
    <p class="about" lang="en">${rules?.about ?? ''}</p>
    <div class="row">
      <label class="button">
        <input
          type="file"
          id="open"
          multiple
          accept=".geojson,.json,.tif,.tiff,.asc,.prj,application/geo+json,application/json"
          @change=${(event: Event) => {
            const input = event.currentTarget as HTMLInputElement;
            actions.openFiles([...(input.files ?? [])]);
            input.value = '';
          }}
        />
        <span>${say('choose.open')}</span>
      </label>
      <button type="button" id="new-garden" @click=${actions.openNewGarden}>${say('choose.new')}</button>
      <button type="button" id="draw" ?disabled=${state.drawing === null} @click=${actions.openTable}>${say('choose.change')}</button>
    </div>
    <form class="hand-over" @submit=${(event: Event) => {
      event.preventDefault();
      const format = new FormData(event.currentTarget as HTMLFormElement).get('format');
      if (format === SITE_FILE) actions.downloadSite();
      else actions.download(String(format));
    }}>
      <label><span class="name">${say('choose.handOver')}</span>
        <select name="format" id="format">
          ${(state.drawing === null ? [] : [...state.drawing.formats, siteAsFormat]).map(
            ({ id, title }) => html`<option value=${id}>${title}</option>`,
          )}
        </select>
      </label>
      <button type="submit" id="download" ?disabled=${state.drawing === null}>${say('choose.download')}</button>
    </form>
  </section>`;
}
