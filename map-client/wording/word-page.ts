import type { WordKey, Words } from './words.ts';

/** What the page has from the start, in the words of its language: `data-say` names a text, `data-say-label` an accessible name. */
export function wordPage({ language, say, knows }: Words): void {
  document.documentElement.lang = language;
  const each = (name: string, then: (element: Element, key: WordKey) => void): void => {
    for (const element of document.querySelectorAll(`[${name}]`)) {
      const key = element.getAttribute(name) ?? '';
      if (knows(key)) then(element, key);
    }
  };
  each('data-say', (element, key) => {
    element.textContent = say(key);
  });
  each('data-say-label', (element, key) => element.setAttribute('aria-label', say(key)));
}
