import { render } from 'lit';
import { createFigures } from './figures.ts';
import { addFonts } from './fonts.ts';
import { INKS } from './ink.ts';
import { rememberKey, ServiceProblem } from './kept/ask-service.ts';
import { pageElement } from './page-element.ts';
import { classes, head, type PortfolioActions, type PortfolioState, register } from './portfolio/panels.ts';
import { loadPlanRows } from './portfolio/plan-rows.ts';
import { createPortfolioMap } from './portfolio/portfolio-map.ts';
import { chosenRows, classBreaks } from './portfolio/register.ts';
import { uploadSites } from './portfolio/upload-sites.ts';
import { chosenWords, localeOf, rememberWords } from './wording/chosen-words.ts';
import { wordPage } from './wording/word-page.ts';
import { loadWords } from './wording/words.ts';

/** The register: all gardens that the service keeps, on a map and in a table. */

const ROWS_AT_ONCE = 100;
const UNAUTHORIZED = 401;
const asked = chosenWords();
let words = await loadWords(asked.locale);
const [headElement, registerElement, mapElement, classesElement] = ['head', 'register', 'map', 'classes'].map(
  pageElement,
);

let state: PortfolioState = {
  rows: null,
  chosen: [],
  choice: { text: '', state: 'all', figure: 'routeLengthM', from: null, to: null, sortBy: 'name', descending: false },
  breaks: [],
  picked: null,
  shown: ROWS_AT_ONCE,
  upload: null,
  wantsKey: false,
  said: '',
  words,
  units: asked.units,
};
let upload: AbortController | undefined;

addFonts();
wordPage(words);
const map = createPortfolioMap(mapElement, INKS.paper, (id) => actions.pick(id));
const actions: PortfolioActions = {
  choose(change) {
    set({ choice: { ...state.choice, ...change }, shown: ROWS_AT_ONCE });
    chooseAgain();
  },
  pick(id) {
    const row = state.rows?.find((each) => each.id === id);
    if (row === undefined) return;
    const place = state.chosen.indexOf(row);
    set({ picked: id, shown: Math.max(state.shown, place + 1) });
    map.ring(row);
    map.goTo(row);
    registerElement.querySelector(`[data-site="${CSS.escape(id)}"]`)?.scrollIntoView({ block: 'nearest' });
  },
  showMore: () => set({ shown: state.shown + ROWS_AT_ONCE }),
  openFile(file) {
    upload?.abort();
    upload = new AbortController();
    const told = (now: PortfolioState['upload']) => set({ upload: now });
    attempt(uploadSites(file, told, upload.signal).then(load));
  },
  stopUpload() {
    upload?.abort();
    attempt(load());
  },
  giveKey(key) {
    rememberKey(key);
    set({ wantsKey: false });
    attempt(load());
  },
  showAll: () => map.showAll(state.chosen),
  chooseLanguage: (language) => attempt(speak(localeOf(language))),
  chooseUnits(units) {
    rememberWords(words.language, units);
    set({ units });
  },
};

set({});
attempt(load());

async function speak(locale: string): Promise<void> {
  words = await loadWords(locale);
  rememberWords(words.language, state.units);
  wordPage(words);
  set({ words });
}

async function load(): Promise<void> {
  const rows = await loadPlanRows((count) => set({ said: words.say('register.readSoFar', { n: count }) }));
  set({ rows, said: '' });
  chooseAgain();
  map.showAll(state.chosen);
}

function chooseAgain(): void {
  const rows = state.rows ?? [];
  const chosen = chosenRows(rows, state.choice);
  // Of all, not of the chosen: a wash keeps its meaning while somebody looks for something.
  const breaks = classBreaks(rows, state.choice.figure);
  set({ chosen, breaks });
  map.show(chosen, state.choice.figure, breaks);
}

/** Where the service wants a key it is asked for; anything else is said at the head of the page. */
function attempt(work: Promise<void>): void {
  work.catch((error: unknown) => {
    if (error instanceof DOMException && error.name === 'AbortError') return;
    const wantsKey = error instanceof ServiceProblem && error.status === UNAUTHORIZED;
    set({ wantsKey, said: error instanceof Error ? error.message : String(error) });
  });
}

function set(change: Partial<PortfolioState>): void {
  state = { ...state, ...change };
  map.map.getCanvas().ariaLabel = state.words.say('register.mapKeys');
  const figures = createFigures(state.words.locale, state.units ?? 'metric');
  render(head(state, actions), headElement);
  render(register(state, actions, figures), registerElement);
  render(classes(state, actions, figures), classesElement);
}
