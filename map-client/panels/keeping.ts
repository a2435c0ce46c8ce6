import { html, type TemplateResult } from 'lit';
import { ref } from 'lit/directives/ref.js';
import type { KeptName } from '../kept/kept-sites.ts';
import type { Actions, State } from '../state.ts';
import type { Say } from '../wording/words.ts';
import { keyForm } from './key-form.ts';

const NONE = '';

/** Gardens that the service keeps: open one, keep this one, and what to do where somebody else was faster. */
export function keeping(state: State, actions: Actions): TemplateResult {
  const { keeping: kept, drawing, words } = state;
  const { say } = words;
  const { site, names, status, said } = kept;
  const canKeep = drawing !== null && status !== 'asking';
  return html`<section class="keeping" aria-labelledby="keeping-title">
    <h2 id="keeping-title">${say('keep.title')}</h2>
    ${status === 'key' ? keyForm(actions.keeping.giveKey, say) : null}
    <div class="row">
      <button type="button" id="keep" ?disabled=${!canKeep} @click=${actions.keeping.keep}>
        ${say(site === null ? 'keep.keep' : 'keep.keepChanges')}
      </button>
      ${names === null ? html`<button type="button" id="list-kept" ?disabled=${status === 'asking'} @click=${actions.keeping.list}>${say('keep.list')}</button>` : null}
    </div>
    ${names === null ? null : choice(names, site?.id ?? NONE, actions, say)}
    <p class="about"><a href="./portfolio.html">${say('keep.register')}</a></p>
    ${status === 'conflict' ? conflict(said, actions, say) : html`<p class="about" role="status">${said}</p>`}
  </section>`;
}

function choice(names: readonly KeptName[], chosen: string, actions: Actions, say: Say): TemplateResult {
  if (names.length === 0) return html`<p class="about">${say('keep.nothing')}</p>`;
  return html`<label><span class="name">${say('keep.open')}</span>
    <select id="kept" .value=${chosen} @change=${(event: Event) => {
      const { value } = event.currentTarget as HTMLSelectElement;
      if (value !== NONE) actions.keeping.open(value);
    }}>
      <option value=${NONE} ?selected=${chosen === NONE}>${say('keep.count', { n: names.length })}</option>
      ${names.map(({ id, name }) => html`<option value=${id} ?selected=${id === chosen}>${name}</option>`)}
    </select></label>`;
}

function conflict(happened: string, actions: Actions, say: Say): TemplateResult {
  return html`<div class="conflict" role="alert" ${ref((box) => box?.scrollIntoView({ block: 'nearest' }))}>
    <p><strong>${happened}</strong> ${say('keep.question')}</p>
    <div class="row">
      <button type="button" id="take-theirs" @click=${actions.keeping.takeTheirs}>${say('keep.theirs')}</button>
      <button type="button" id="keep-beside" @click=${actions.keeping.keepBeside}>${say('keep.beside')}</button>
      <button type="button" id="keep-over" @click=${actions.keeping.keepOver}>${say('keep.over')}</button>
    </div>
  </div>`;
}
