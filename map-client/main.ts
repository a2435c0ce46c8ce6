import { render } from 'lit';
import { createDrawSession } from './draw/draw-session.ts';
import { documentText, EMPTY_DOCUMENT, readDocument, type SiteDocument } from './draw/site-document.ts';
import { addFonts } from './fonts.ts';
import { GARDENS, type Garden } from './gardens.ts';
import { INKS } from './ink.ts';
import { keepWork, keptWork } from './keep-work.ts';
import { STAGES } from './layers/sheets.ts';
import { createSheetMap } from './map/sheet-map.ts';
import type { PageHook } from './page-hook.ts';
import { furniture } from './panels/furniture.ts';
import { margin } from './panels/margin.ts';
import { steps } from './panels/steps.ts';
import { createPlanner } from './planner.ts';
import type { PlanRequest } from './planner-messages.ts';
import { type Actions, createStore, type State } from './state.ts';

/** The page: state, planner, map and panels put together. */

const sheet = element('sheet');
const [mapElement, furnitureElement, stepsElement, marginElement, dropElement] = [
  element('map'),
  element('furniture'),
  element('steps'),
  element('margin'),
  element('drop'),
];
const motion = matchMedia('(prefers-reduced-motion: reduce)');
const roomy = matchMedia('(min-width: 1280px)');
const dark = matchMedia('(prefers-color-scheme: dark)');
const planner = createPlanner();
let given: Omit<PlanRequest, 'request' | 'rules'> | undefined;

addFonts();
const store = createStore(
  {
    gardenKey: null,
    ownFileName: null,
    rules: null,
    drawing: null,
    plannedAt: null,
    problems: null,
    busy: false,
    table: null,
    stepIndex: STAGES.length - 1,
    inkName: dark.matches ? 'blueprint' : 'paper',
    findingIndex: null,
    marginOpen: false,
    keyOnSheet: roomy.matches,
    view: { zoom: 0, bearingDeg: 0, metresPerPixel: 1 },
  },
  draw,
);
const sheetMap = createSheetMap(mapElement, INKS[store.get().inkName], () => motion.matches);

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
    if (!planning) attempt(planWaiting(), 'The drawing');
    if (settled) keepWork(documentText(document)).catch(tellNotKept);
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
  },
  goToFinding(findingIndex) {
    store.set({ findingIndex, marginOpen: false });
    sheetMap.goTo(store.get().drawing?.findings[findingIndex]?.place ?? null);
  },
  download: (formatId) => void handOver(formatId),
  downloadSite() {
    if (given !== undefined) save(given.text, 'application/geo+json', 'site.geojson');
  },
  openTable() {
    if (given !== undefined) sitAt(readDocument(given.text));
  },
  openNewGarden() {
    const { lng, lat } = sheetMap.map.getCenter();
    sheetMap.map.jumpTo({ center: [lng, lat], zoom: 20 });
    store.set({ gardenKey: null, ownFileName: 'New garden', drawing: null, plannedAt: null, findingIndex: null });
    given = { text: documentText(EMPTY_DOCUMENT), fileName: 'new-garden.geojson', elevation: null };
    sheetMap.clear();
    sitAt(EMPTY_DOCUMENT);
  },
  leaveTable() {
    session.close();
    store.set({ table: null });
    sheetMap.showWhole();
  },
  table: {
    ...session,
    take(tool) {
      store.set({ marginOpen: false });
      session.take(tool);
    },
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
  const { map } = sheetMap;
  const metresPerPixel =
    (40_075_016.686 * Math.cos((map.getCenter().lat * Math.PI) / 180)) / (512 * 2 ** map.getZoom());
  store.set({ view: { zoom: map.getZoom(), bearingDeg: map.getBearing(), metresPerPixel } });
});
roomy.addEventListener('change', ({ matches }) => store.set({ keyOnSheet: matches }));
dark.addEventListener('change', ({ matches }) => actions.chooseInk(matches ? 'blueprint' : 'paper'));
listenForDrops();
listenForKeys();
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

/** What was being drawn when the page was left, or the first garden of the demo. */
async function openFirst(): Promise<void> {
  const text = await keptWork();
  if (text === undefined) return openGarden(GARDENS[0].key);
  store.set({ ownFileName: 'Your last drawing', gardenKey: null, busy: true });
  given = { text, fileName: 'last-drawing.geojson', elevation: null };
  await plan('fresh');
}

async function openGarden(key: string): Promise<void> {
  const garden = GARDENS.find((listed) => listed.key === key);
  if (garden === undefined) return;
  store.set({ gardenKey: key, busy: true });
  const [text, elevation] = await Promise.all([fetchText(garden.url), fetchElevation(garden.elevation)]);
  if (store.get().gardenKey !== key) return;
  given = { text, fileName: garden.fileName, elevation };
  await plan('fresh');
}

/** What cannot even be fetched or read is told like any other problem with a file. */
function attempt(work: Promise<void>, fileName: string): void {
  work.catch((error: unknown) => {
    const message = `It could not be read: ${error instanceof Error ? error.message : String(error)}.`;
    store.set({ busy: false, problems: { fileName, list: [{ pointer: '', message }], more: 0 }, marginOpen: true });
  });
}

async function fetchElevation(elevation: Garden['elevation']): Promise<PlanRequest['elevation']> {
  if (elevation === null) return null;
  const { fileName, url, projectionUrl } = elevation;
  return {
    fileName,
    bytes: await fetchWhole(url).then((response) => response.arrayBuffer()),
    projectionWkt: projectionUrl === null ? null : await fetchText(projectionUrl),
  };
}

function fetchText(url: string): Promise<string> {
  return fetchWhole(url).then((response) => response.text());
}

async function fetchWhole(url: string): Promise<Response> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`the service answered ${response.status}`);
  return response;
}

/** A GeoJSON site, with an elevation grid beside it if one was picked too. */
async function openFiles(files: readonly File[]): Promise<void> {
  const site = files.find(({ name }) => /json$/i.test(name)) ?? files[0];
  if (site === undefined) return;
  const grid = files.find((file) => file !== site && !file.name.endsWith('.prj'));
  const projection = files.find(({ name }) => name.endsWith('.prj'));
  store.set({ gardenKey: null, ownFileName: site.name, busy: true });
  given = {
    text: await site.text(),
    fileName: site.name,
    elevation:
      grid === undefined
        ? null
        : {
            fileName: grid.name,
            bytes: await grid.arrayBuffer(),
            projectionWkt: (await projection?.text()) ?? null,
          },
  };
  await plan('fresh');
}

async function plan(how: 'fresh' | 'changed' | 'live'): Promise<void> {
  if (given === undefined) return;
  store.set({ busy: true });
  const reply = await planner.plan({ ...given, rules: store.get().rules });
  if (reply === undefined) return;
  if (reply.outcome === 'refused') {
    const { problems: list, more } = reply;
    store.set({ busy: false, problems: { fileName: given.fileName, list, more }, marginOpen: true });
    return;
  }
  store.set({ busy: false, problems: null, drawing: reply.drawing, plannedAt: new Date(), findingIndex: null });
  sheetMap.show(reply.drawing, how);
}

function sitAt(document: SiteDocument): void {
  store.set({ problems: null, marginOpen: false, stepIndex: STAGES.length - 1 });
  sheetMap.setStep(STAGES.length - 1);
  sheetMap.whenStyled(() => session.open(document, INKS[store.get().inkName]));
}

async function planWaiting(): Promise<void> {
  planning = true;
  try {
    while (waiting !== undefined) {
      const document = waiting;
      waiting = undefined;
      given = {
        text: documentText(document),
        fileName: given?.fileName ?? 'garden.geojson',
        elevation: given?.elevation ?? null,
      };
      if (document.features.length > 0) await plan('live');
    }
  } finally {
    planning = false;
  }
}

async function handOver(formatId: string): Promise<void> {
  const reply = await planner.write(formatId);
  if (reply.outcome === 'written') save(reply.content, reply.mediaType, `plan.${reply.extension}`);
}

function save(content: BlobPart, type: string, ending: string): void {
  const title = store.get().drawing?.title ?? 'garden';
  const url = URL.createObjectURL(new Blob([content], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = `${title.toLowerCase().replaceAll(/[^\p{L}\p{N}]+/gu, '-')}.${ending}`;
  link.click();
  URL.revokeObjectURL(url);
}

/** Private windows and full disks keep nothing: that is said once, and drawing goes on. */
function tellNotKept(error: unknown): void {
  const message = `Your drawing cannot be kept in this browser: ${error instanceof Error ? error.message : String(error)}. Download the site before you leave.`;
  store.set({ problems: { fileName: 'The drawing', list: [{ pointer: '', message }], more: 0 } });
}

function listenForDrops(): void {
  const holdsFiles = (event: DragEvent): boolean => event.dataTransfer?.types.includes('Files') === true;
  window.addEventListener('dragover', (event) => {
    if (!holdsFiles(event)) return;
    event.preventDefault();
    dropElement.hidden = false;
  });
  window.addEventListener('dragleave', (event) => {
    if (event.relatedTarget === null) dropElement.hidden = true;
  });
  window.addEventListener('drop', (event) => {
    if (!holdsFiles(event)) return;
    event.preventDefault();
    dropElement.hidden = true;
    actions.openFiles([...(event.dataTransfer?.files ?? [])]);
  });
}

/** Undo and redo by the keys people know; Escape puts the pencil down. Not while text is being written. */
function listenForKeys(): void {
  window.addEventListener('keydown', (event) => {
    const { table } = store.get();
    if (table === null || event.target instanceof HTMLInputElement) return;
    const isUndoKey = event.key.toLowerCase() === 'z' && (event.ctrlKey || event.metaKey);
    if (isUndoKey) (event.shiftKey ? session.redo : session.undo)();
    else if (event.key.toLowerCase() === 'y' && event.ctrlKey) session.redo();
    else if (event.key === 'Escape' && table.tool !== null) session.take(null);
    else if (event.key === 'Delete' && table.selected !== null && !(event.target instanceof HTMLCanvasElement))
      session.remove();
    else return;
    event.preventDefault();
  });
}

function element(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no element "${id}"`);
  return found;
}
