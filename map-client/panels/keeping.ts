import { html, type TemplateResult } from 'lit';
import { ref } from 'lit/directives/ref.js';
import type { KeptName } from '../kept/kept-sites.ts';
import type { Actions, State } from '../state.ts';
import { keyForm } from './key-form.ts';

const NONE = '';

/** Gardens that the service keeps: open one, keep this one, and what to do where somebody else was faster. */
export function keeping(state: State, actions: Actions): TemplateResult {
  const { keeping: kept, drawing } = state;
  const { site, names, status, said } = kept;
  const canKeep = drawing !== null && status !== 'asking';
  return html`<section class="keeping" aria-labelledby="keeping-title">
    <h2 id="keeping-title">Kept by the service</h2>
    ${status === 'key' ? keyForm(actions.keeping.giveKey) : null}
    <div class="row">
      <button type="button" id="keep" ?disabled=${!canKeep} @click=${actions.keeping.keep}>
        ${site === null ? 'Keep this garden' : 'Keep the changes'}
      </button>
      ${names === null ? html`<button type="button" id="list-kept" ?disabled=${status === 'asking'} @click=${actions.keeping.list}>Show what is kept</button>` : null}
    </div>
    ${names === null ? null : choice(names, site?.id ?? NONE, actions)}
    <p class="about"><a href="./portfolio.html">Register of all gardens</a></p>
    ${status === 'conflict' ? conflict(said, actions) : html`<p class="about" role="status">${said}</p>`}
  </section>`;
}

function choice(names: readonly KeptName[], chosen: string, actions: Actions): TemplateResult {
  if (names.length === 0) return html`<p class="about">Nothing is kept yet.</p>`;
  return html`<label><span class="name">Open a kept garden</span>
    <select id="kept" .value=${chosen} @change=${(event: Event) => {
      const { value } = event.currentTarget as HTMLSelectElement;
      if (value !== NONE) actions.keeping.open(value);
    }}>
      <option value=${NONE} ?selected=${chosen === NONE}>${names.length === 1 ? 'one is kept' : `${names.length} are kept`}</option>
      ${names.map(({ id, name }) => html`<option value=${id} ?selected=${id === chosen}>${name}</option>`)}
    </select></label>`;
}

function conflict(happened: string, actions: Actions): TemplateResult {
  return html`<div class="conflict" role="alert" ${ref((box) => box?.scrollIntoView({ block: 'nearest' }))}>
    <p><strong>${happened}</strong> Nothing is lost: what do you want?</p>
    <div class="row">
      <button type="button" id="take-theirs" @click=${actions.keeping.takeTheirs}>Open theirs</button>
      <button type="button" id="keep-beside" @click=${actions.keeping.keepBeside}>Keep mine beside it</button>
      <button type="button" id="keep-over" @click=${actions.keeping.keepOver}>Put mine in its place</button>
    </div>
  </div>`;
}
