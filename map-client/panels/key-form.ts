import { html, type TemplateResult } from 'lit';
import type { Say } from '../wording/words.ts';

/** Asks for the key that the service wants; `use` is told what was typed. */
export function keyForm(use: (key: string) => void, say: Say): TemplateResult {
  return html`<form class="service-key" @submit=${(event: Event) => {
    event.preventDefault();
    const key = new FormData(event.currentTarget as HTMLFormElement).get('key');
    if (typeof key === 'string' && key !== '') use(key);
  }}>
    <label><span class="name">${say('keep.wantsKey')}</span>
      <input type="password" name="key" autocomplete="off" required /></label>
    <button type="submit">${say('keep.useKey')}</button>
  </form>`;
}
