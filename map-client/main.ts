import { render } from 'lit';
import { addFonts } from './fonts.ts';
import { GARDENS, type Garden } from './gardens.ts';
import { INKS } from './ink.ts';
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

const actions: Actions = {
  chooseGarden(key) {
    store.set({ marginOpen: false });
    attempt(openGarden(key), key);
  },
  openFiles: (files) => attempt(openFiles(files), files[0]?.name ?? ''),
  chooseRules(rules) {
    store.set({ rules });
    attempt(plan(false), given?.fileName ?? '');
  },
  setStep(stepIndex) {
    store.set({ stepIndex });
    sheetMap.setStep(stepIndex);
  },
  goToFinding(findingIndex) {
    store.set({ findingIndex, marginOpen: false });
    sheetMap.goTo(store.get().drawing?.findings[findingIndex]?.place ?? null);
  },
  download,
  chooseInk(inkName) {
    store.set({ inkName });
    sheetMap.setInk(INKS[inkName]);
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
draw(store.get());
attempt(openGarden(GARDENS[0].key), GARDENS[0].title);

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

async function openGarden(key: string): Promise<void> {
  const garden = GARDENS.find((listed) => listed.key === key);
  if (garden === undefined) return;
  store.set({ gardenKey: key, busy: true });
  const [text, elevation] = await Promise.all([fetchText(garden.url), fetchElevation(garden.elevation)]);
  if (store.get().gardenKey !== key) return;
  given = { text, fileName: garden.fileName, elevation };
  await plan(true);
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
  await plan(true);
}

async function plan(fresh: boolean): Promise<void> {
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
  sheetMap.show(reply.drawing, fresh);
}

function download(): void {
  const { drawing } = store.get();
  if (drawing === null) return;
  const url = URL.createObjectURL(new Blob([JSON.stringify(drawing.plan)], { type: 'application/geo+json' }));
  const link = document.createElement('a');
  link.href = url;
  link.download = `${drawing.title.toLowerCase().replaceAll(/[^\p{L}\p{N}]+/gu, '-')}.plan.geojson`;
  link.click();
  URL.revokeObjectURL(url);
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

function element(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no element "${id}"`);
  return found;
}
