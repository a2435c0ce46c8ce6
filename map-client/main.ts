/** The page: state, planner, map and panels put together. Long because it is where all of them meet. */
import { render } from 'lit';
import { createDrawSession } from './draw/draw-session.ts';
import { documentText, EMPTY_DOCUMENT, readDocument, type SiteDocument } from './draw/site-document.ts';
import { addFonts } from './fonts.ts';
import { GARDENS } from './gardens.ts';
import { INKS } from './ink.ts';
import { forgetWork, keepWork, keptWork, type Work } from './keep-work.ts';
import { createKeeper, NOTHING_KEPT } from './kept/keeper.ts';
import { type Permalink, permalinkHash, readPermalink } from './kept/permalink.ts';
import { layVisits } from './lay-visits.ts';
import { STAGES } from './layers/sheets.ts';
import { listenForDrops } from './listen-for-drops.ts';
import { listenForKeys } from './listen-for-keys.ts';
import { createSheetMap } from './map/sheet-map.ts';
import { viewOf } from './map/view-of.ts';
import { pageElement } from './page-element.ts';
import type { PageHook } from './page-hook.ts';
import { furniture } from './panels/furniture.ts';
import { margin } from './panels/margin.ts';
import { steps } from './panels/steps.ts';
import { createPlanner } from './planner.ts';
import { type GivenSite, readFiles, readGarden } from './read-garden.ts';
import { saveFile } from './save-file.ts';
import { type Actions, createStore, type State } from './state.ts';
import { chosenWords, localeOf, rememberWords } from './wording/chosen-words.ts';
import { wordPage } from './wording/word-page.ts';
import { loadWords, type WordKey } from './wording/words.ts';

const ids = ['sheet', 'map', 'furniture', 'steps', 'margin', 'drop'];
const [sheet, mapElement, furnitureElement, stepsElement, marginElement, dropElement] = ids.map(pageElement);
const motion = matchMedia('(prefers-reduced-motion: reduce)');
const roomy = matchMedia('(min-width: 1280px)');
const dark = matchMedia('(prefers-color-scheme: dark)');
const asked = chosenWords();
const firstWords = await loadWords(asked.locale);
const planner = createPlanner((key, values) => say(key, values));
let given: GivenSite | undefined;
/** Where the address of the page said to look, until that is on the sheet. */
let link: Permalink | undefined = readPermalink(location.hash);

addFonts();
wordPage(firstWords);
const store = createStore(
  {
    gardenKey: null,
    ownFileName: null,
    rules: null,
    drawing: null,
    plannedAt: null,
    problems: null,
    busy: false,
    keeping: NOTHING_KEPT,
    simulation: null,
    table: null,
    stepIndex: STAGES.length - 1,
    words: firstWords,
    units: asked.units,
    inkName: dark.matches ? 'blueprint' : 'paper',
    findingIndex: null,
    marginOpen: false,
    keyOnSheet: roomy.matches,
    view: { zoom: 0, bearingDeg: 0, metresPerPixel: 1 },
  },
  draw,
);
const sheetMap = createSheetMap(mapElement, INKS[store.get().inkName], () => motion.matches);
sheetMap.map.getCanvas().ariaLabel = firstWords.say('sheet.map');

window.loopwright = { map: sheetMap.map } satisfies PageHook;

/** While something is pulled, only the newest drawing is planned; the ones between are passed over. */
let waiting: SiteDocument | undefined;
let planning = false;
const session = createDrawSession({
  map: sheetMap.map,
  get: () => store.get().table,
  set: (table) => store.set({ table }),
  changed(document, settled) {
    waiting = document;
    if (!planning) attempt(planWaiting(), say('problems.drawing'));
    if (!settled) return;
    const { gardenKey, drawing } = store.get();
    if (gardenKey !== null) {
      // From now on it is the person's own: the address names it no more.
      store.set({
        gardenKey: null,
        ownFileName: say('choose.changed', { name: drawing?.title ?? say('choose.garden') }),
      });
      writePermalink();
    }
    keepWork({ site: drawnSite(document), kept: store.get().keeping.site }).catch(tellNotKept);
  },
});

const actions: Actions = {
  chooseGarden(key) {
    store.set({ marginOpen: false });
    attempt(openGarden(key), key);
  },
  openFiles: (files) => attempt(openFiles(files), files[0]?.name ?? ''),
  chooseRules(rules) {
    store.set({ rules });
    attempt(plan('changed'), given?.fileName ?? '');
  },
  setStep(stepIndex) {
    store.set({ stepIndex });
    sheetMap.setStep(stepIndex);
    writePermalink();
  },
  goToFinding(findingIndex) {
    store.set({ findingIndex, marginOpen: false });
    sheetMap.goTo(store.get().drawing?.findings[findingIndex]?.place ?? null);
  },
  download: (formatId) => void handOver(formatId),
  downloadSite() {
    const { drawing } = store.get();
    if (given !== undefined) saveFile(given.text, 'application/geo+json', 'site.geojson', drawing?.title);
  },
  simulate: () => void simulate(),
  openTable() {
    if (given !== undefined) sitAt(readDocument(given.text));
  },
  openNewGarden() {
    const { lng, lat } = sheetMap.map.getCenter();
    sheetMap.map.jumpTo({ center: [lng, lat], zoom: 20 });
    store.set({
      gardenKey: null,
      ownFileName: say('choose.newGarden'),
      drawing: null,
      plannedAt: null,
      findingIndex: null,
    });
    nothingKept();
    const document = { ...EMPTY_DOCUMENT, members: { ...EMPTY_DOCUMENT.members, name: say('choose.newGarden') } };
    given = { text: documentText(document), fileName: 'new-garden.geojson', elevation: null };
    sheetMap.clear();
    sitAt(document);
  },
  keeping: createKeeper({
    get: () => store.get().keeping,
    set(keeping) {
      store.set({ keeping });
      writePermalink();
    },
    kept: () => void forgetWork(),
    present: () => given,
    now: () => new Date(),
    words: () => store.get().words,
    async show({ kept, text, elevation }) {
      leaveTable();
      store.set({ gardenKey: null, ownFileName: say('choose.keptGarden'), busy: true });
      given = { text, fileName: 'kept-garden.geojson', elevation };
      await plan('fresh');
      if (link?.kept === kept.id) followPermalink(link);
    },
  }),
  leaveTable() {
    leaveTable();
    sheetMap.showWhole();
  },
  table: {
    ...session,
    take(tool) {
      store.set({ marginOpen: false });
      session.take(tool);
    },
  },
  chooseLanguage: (language) => attempt(speak(localeOf(language)), ''),
  chooseUnits(units) {
    store.set({ units });
    rememberWords(store.get().words.language, units);
    if (given !== undefined) attempt(plan('live'), given.fileName);
  },
  chooseInk(inkName) {
    const { table } = store.get();
    if (table !== null) session.close();
    store.set({ inkName });
    sheetMap.setInk(INKS[inkName]);
    if (table !== null) sheetMap.whenStyled(() => session.open(table.document, INKS[inkName]));
  },
  toggleMargin: () => store.set({ marginOpen: !store.get().marginOpen }),
  zoomBy: (levels) => void sheetMap.map.zoomTo(sheetMap.map.getZoom() + levels, { animate: !motion.matches }),
  showWhole() {
    store.set({ findingIndex: null });
    sheetMap.goTo(null);
    sheetMap.showWhole();
  },
  northUp: () => void sheetMap.map.rotateTo(0, { animate: !motion.matches }),
};

sheetMap.map.on('move', () => {
  store.set({ view: viewOf(sheetMap.map) });
});
roomy.addEventListener('change', ({ matches }) => store.set({ keyOnSheet: matches }));
dark.addEventListener('change', ({ matches }) => actions.chooseInk(matches ? 'blueprint' : 'paper'));
listenForDrops(dropElement, actions.openFiles);
listenForKeys(session, () => store.get().table);
sheetMap.map.on('moveend', writePermalink);
draw(store.get());
attempt(openFirst(), GARDENS[0].title);

function draw(state: State): void {
  document.documentElement.dataset.ink = state.inkName;
  document.title = state.drawing === null ? 'Loopwright' : `${state.drawing.title} – Loopwright`;
  sheet.ariaBusy = String(state.busy);
  marginElement.dataset.open = String(state.marginOpen);
  render(furniture(state, actions), furnitureElement);
  render(steps(state, actions), stepsElement);
  render(margin(state, actions), marginElement);
  furnitureElement.style.setProperty('--bearing', `${-state.view.bearingDeg}deg`);
}

/** The address of the page reproduces what is on the sheet, unless that is nowhere but in this browser. */
function writePermalink(): void {
  const { keeping, gardenKey, stepIndex, drawing } = store.get();
  if (drawing === null || link !== undefined) return;
  const { lng, lat } = sheetMap.map.getCenter();
  const hash = permalinkHash({
    kept: keeping.site?.id ?? null,
    garden: gardenKey,
    step: stepIndex === STAGES.length - 1 ? null : stepIndex,
    view: { lonDeg: lng, latDeg: lat, zoom: sheetMap.map.getZoom(), bearingDeg: sheetMap.map.getBearing() },
  });
  history.replaceState(null, '', hash === '' ? location.pathname + location.search : hash);
}

/** Puts the sheet where the address says. */
function followPermalink({ step, view }: Permalink): void {
  link = undefined;
  if (step !== null && step < STAGES.length) actions.setStep(step);
  if (view === null) return;
  const { lonDeg, latDeg, zoom, bearingDeg } = view;
  sheetMap.map.jumpTo({ center: [lonDeg, latDeg], zoom, bearing: bearingDeg });
}

/** What is on the sheet is no garden of the service. */
function nothingKept(): void {
  store.set({ keeping: { ...store.get().keeping, site: null, status: 'idle', said: '' } });
}

/** What the address names, what was being drawn when the page was left, or the first garden of the demo. */
async function openFirst(): Promise<void> {
  const work = await keptWork();
  const isOfLink = link?.kept === (work?.kept?.id ?? null) && link?.garden == null;
  if (work !== undefined && isOfLink) return goOn(work);
  if (link?.kept != null) return actions.keeping.open(link.kept);
  const garden = GARDENS.find(({ key }) => key === link?.garden);
  const asked = link;
  await openGarden((garden ?? GARDENS[0]).key);
  if (garden !== undefined && asked !== undefined) followPermalink(asked);
  link = undefined;
}

/** With the drawing that was not kept when the page was left. */
async function goOn({ site, kept }: Work): Promise<void> {
  store.set({ ownFileName: say('choose.lastDrawing'), gardenKey: null, busy: true });
  const said = kept === null ? '' : say('keep.goOn');
  store.set({ keeping: { ...store.get().keeping, site: kept, said } });
  given = site;
  await plan('fresh');
  if (link !== undefined) followPermalink(link);
}

async function openGarden(key: string): Promise<void> {
  const garden = GARDENS.find((listed) => listed.key === key);
  if (garden === undefined) return;
  store.set({ gardenKey: key, busy: true });
  nothingKept();
  const read = await readGarden(garden);
  if (store.get().gardenKey !== key) return;
  given = read;
  await plan('fresh');
}

/** What cannot even be fetched or read is told like any other problem with a file. */
function attempt(work: Promise<void>, fileName: string): void {
  work.catch((error: unknown) => {
    const message = say('problems.notRead', { why: error instanceof Error ? error.message : String(error) });
    store.set({ busy: false, problems: { fileName, list: [{ pointer: '', message }], more: 0 }, marginOpen: true });
  });
}

async function openFiles(files: readonly File[]): Promise<void> {
  const [first] = files;
  if (first === undefined) return;
  store.set({ gardenKey: null, ownFileName: first.name, busy: true });
  nothingKept();
  given = await readFiles(files);
  store.set({ ownFileName: given.fileName });
  await plan('fresh');
}

async function plan(how: 'fresh' | 'changed' | 'live'): Promise<void> {
  if (given === undefined) return;
  store.set({ busy: true });
  const { words, units } = store.get();
  const reply = await planner.plan({ ...given, rules: store.get().rules, locale: words.locale, units });
  if (reply === undefined) return;
  if (reply.outcome === 'refused') {
    const { problems: list, more } = reply;
    store.set({ busy: false, problems: { fileName: given.fileName, list, more }, marginOpen: true });
    return;
  }
  store.set({
    busy: false,
    simulation: null,
    problems: null,
    drawing: reply.drawing,
    plannedAt: new Date(),
    findingIndex: null,
  });
  sheetMap.show(reply.drawing, how);
}

function leaveTable(): void {
  if (store.get().table === null) return;
  session.close();
  store.set({ table: null });
}

function sitAt(document: SiteDocument): void {
  store.set({ problems: null, marginOpen: false, stepIndex: STAGES.length - 1 });
  sheetMap.setStep(STAGES.length - 1);
  sheetMap.whenStyled(() => session.open(document, INKS[store.get().inkName]));
}

/** What was drawn, with the file name and the heights of what it was drawn over. */
function drawnSite(document: SiteDocument): GivenSite {
  return { fileName: 'garden.geojson', elevation: null, ...given, text: documentText(document) };
}

async function planWaiting(): Promise<void> {
  planning = true;
  try {
    while (waiting !== undefined) {
      const document = waiting;
      waiting = undefined;
      given = drawnSite(document);
      if (document.features.length > 0) await plan('live');
    }
  } finally {
    planning = false;
  }
}

/** The page, the sheet and what is planned from now on in another language. */
async function speak(locale: string): Promise<void> {
  const words = await loadWords(locale);
  store.set({ words });
  wordPage(words);
  sheetMap.map.getCanvas().ariaLabel = words.say('sheet.map');
  rememberWords(words.language, store.get().units);
  if (given !== undefined) await plan('live');
}

function say(key: WordKey, values?: Readonly<Record<string, string | number>>): string {
  return store.get().words.say(key, values);
}

let weeks = 0;
/** Shows the visits of a simulated week; a plan made meanwhile wins. */
async function simulate(): Promise<void> {
  const { drawing } = store.get();
  if (drawing === null) return;
  store.set({ busy: true });
  const reply = await planner.simulate(++weeks);
  if (store.get().drawing !== drawing) return;
  store.set({ busy: false });
  if (reply.outcome !== 'simulated') return;
  const changed = layVisits(drawing, reply.visits);
  store.set({ drawing: changed, simulation: reply.note });
  sheetMap.show(changed, 'live');
}

async function handOver(formatId: string): Promise<void> {
  const title = store.get().drawing?.title;
  const reply = await planner.write(formatId);
  if (reply.outcome === 'written') saveFile(reply.content, reply.mediaType, reply.ending, title);
  else if (reply.outcome === 'refused')
    store.set({ problems: { fileName: say('problems.paper'), list: reply.problems, more: reply.more } });
}

/** Private windows and full disks keep nothing: that is said once, and drawing goes on. */
function tellNotKept(error: unknown): void {
  const message = say('problems.notKept', { why: error instanceof Error ? error.message : String(error) });
  store.set({ problems: { fileName: say('problems.drawing'), list: [{ pointer: '', message }], more: 0 } });
}
