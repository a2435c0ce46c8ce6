import { type Language, languageOf } from './words.ts';

/** Metres or feet; null is what the garden itself says. */
export type Units = 'metric' | 'us' | null;
export type Choice = { readonly locale: string; readonly units: Units };

const [LANGUAGE, UNITS] = ['lang', 'units'];

/** The address decides (`?lang=de&units=us`), then what was chosen last in this browser, then what the browser prefers. */
export function chosenWords(): Choice {
  const address = new URLSearchParams(location.search);
  const preferred = navigator.languages.find((tag) => languageOf(tag) !== undefined) ?? 'en';
  const asked = languageOf(address.get(LANGUAGE) ?? remembered(LANGUAGE) ?? preferred) ?? languageOf(preferred) ?? 'en';
  return { locale: localeOf(asked), units: unitsNamed(address.get(UNITS) ?? remembered(UNITS)) };
}

/** Remembers a choice in this browser and writes it into the address. */
export function rememberWords(language: Language, units: Units): void {
  const address = new URL(location.href);
  for (const [name, value] of [
    [LANGUAGE, language],
    [UNITS, units],
  ] as const) {
    if (value === null) address.searchParams.delete(name);
    else address.searchParams.set(name, value);
    remember(name, value);
  }
  history.replaceState(null, '', address);
}

/** The browser's own region of a language, where it has one: dates of en-US are not those of en-GB. */
export function localeOf(language: Language): string {
  return navigator.languages.find((tag) => languageOf(tag) === language) ?? language;
}

export function unitsNamed(value: string | null): Units {
  return value === 'metric' || value === 'us' ? value : null;
}

/** A browser that lets nobody look has remembered nothing. */
function remembered(name: string): string | null {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

function remember(name: string, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(name);
    else localStorage.setItem(name, value);
  } catch {
    // The address names it all the same.
  }
}
