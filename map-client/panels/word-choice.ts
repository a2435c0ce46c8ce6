import { html, type TemplateResult } from 'lit';
import { type Units, unitsNamed } from '../wording/chosen-words.ts';
import { LANGUAGE_NAMES, LANGUAGES, type Language, languageOf, type Words } from '../wording/words.ts';

type Chosen = { readonly words: Words; readonly units: Units };
type Choices = {
  readonly chooseLanguage: (language: Language) => void;
  readonly chooseUnits: (units: Units) => void;
};

/** Which language the page speaks, and what it measures in. */
export function wordChoice({ words: { say, language }, units }: Chosen, choices: Choices): TemplateResult {
  return html`<div class="word-choice">
    <label><span class="name">${say('margin.language')}</span>
      <select id="language" .value=${language} @change=${(event: Event) => {
        const chosen = languageOf((event.currentTarget as HTMLSelectElement).value);
        if (chosen !== undefined) choices.chooseLanguage(chosen);
      }}>
        ${LANGUAGES.map((each) => html`<option value=${each} lang=${each} ?selected=${each === language}>${LANGUAGE_NAMES[each]}</option>`)}
      </select></label>
    <label><span class="name">${say('margin.units')}</span>
      <select id="units" .value=${units ?? ''} @change=${(event: Event) => {
        choices.chooseUnits(unitsNamed((event.currentTarget as HTMLSelectElement).value));
      }}>
        <option value="" ?selected=${units === null}>${say('margin.asTheGarden')}</option>
        <option value="metric" ?selected=${units === 'metric'}>${say('margin.metric')}</option>
        <option value="us" ?selected=${units === 'us'}>${say('margin.us')}</option>
      </select></label>
  </div>`;
}
