import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import type { Plan } from '#geo-core/model/plan.ts';
import { axeFaults, chooseGarden, DESK, describeInBrowser, drawn, OFTEN, openPage, SHOTS } from './open-page.ts';

/** Corners of a lawn on a sheet of 1440 pixels, from the left upper corner of the map. */
const LAWN = [
  [320, 220],
  [820, 220],
  [820, 600],
  [320, 600],
] as const;

type Site = {
  readonly name: string;
  readonly features: readonly {
    readonly properties: Readonly<Record<string, unknown>>;
    readonly geometry: { readonly type: string; readonly coordinates: unknown };
  }[];
};

/** Moves there first, as a hand does, and leaves the drawing library its time between clicks. */
async function clickAt(page: Page, [x, y]: readonly [number, number]): Promise<void> {
  const box = await page.locator('#map canvas').boundingBox();
  await page.mouse.move((box?.x ?? 0) + x, (box?.y ?? 0) + y, { steps: 3 });
  await page.waitForTimeout(80);
  await page.mouse.click((box?.x ?? 0) + x, (box?.y ?? 0) + y);
  await page.waitForTimeout(80);
}

async function drawLawn(page: Page): Promise<void> {
  await page.click('#new-garden');
  await page.click('[data-tool=lawn]');
  for (const corner of [...LAWN, LAWN[0]]) await clickAt(page, corner);
  await page.locator('.in-hand').waitFor();
}

async function downloaded(page: Page, format: string): Promise<string> {
  await page.selectOption('#format', format);
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#download')]);
  return readFile(await download.path(), 'utf8');
}

const siteOf = async (page: Page): Promise<Site> => JSON.parse(await downloaded(page, 'site'));
const gist = (page: Page): Promise<string> =>
  page
    .locator('.gist')
    .textContent()
    .then((words) => words ?? '');
const planned = (page: Page, words: RegExp): Promise<unknown> =>
  page.waitForFunction(
    (source) => new RegExp(source).test(document.querySelector('.gist')?.textContent ?? ''),
    words.source,
    OFTEN,
  );

describeInBrowser('the drawing table in a browser', (opened) => {
  it('draws a garden from nothing: lawn, what lies beyond an edge, a tree; every step can be undone', async () => {
    const { page, complaints, foreign } = await openPage(opened(), DESK);
    await drawLawn(page);
    await planned(page, /m² of lawn, \d+\sm of wire/);
    const bare = await gist(page);
    await page.selectOption('select[data-side="0"]', 'drop');
    await page.waitForFunction((before) => document.querySelector('.gist')?.textContent !== before, bare, OFTEN);
    await page.click('[data-tool=tree]');
    await clickAt(page, [500, 400]);
    await page.waitForFunction(
      () => document.querySelector('.key')?.textContent?.includes('Keep-out loop'),
      undefined,
      OFTEN,
    );
    await page.screenshot({ path: `${SHOTS}table-1440-drawn.png` });
    for (let step = 0; step < 2; step++) await page.getByRole('button', { name: 'Undo' }).click();
    await page.waitForFunction((before) => document.querySelector('.gist')?.textContent === before, bare, OFTEN);
    for (let step = 0; step < 2; step++) await page.keyboard.press('Control+Shift+Z');
    await page.waitForFunction(
      () => document.querySelector('.key')?.textContent?.includes('Keep-out loop'),
      undefined,
      OFTEN,
    );
    await page.click('text=Done');
    const kinds = (await siteOf(page)).features.map(({ properties }) => properties.kind);
    expect(kinds).toEqual(['lawn', 'edge', 'tree']);
    expect(complaints).toEqual([]);
    expect(foreign).toEqual([]);
    await page.context().close();
  });

  it('plans while a corner is pulled, and marked edges stay with it', async () => {
    const { page } = await openPage(opened(), DESK);
    await drawLawn(page);
    await page.selectOption('select[data-side="1"]', 'wall');
    await planned(page, /of wire/);
    const before = await gist(page);
    const box = await page.locator('#map canvas').boundingBox();
    const [left, top] = [box?.x ?? 0, box?.y ?? 0];
    await page.mouse.move(left + 820, top + 600);
    await page.waitForTimeout(100);
    await page.mouse.down();
    await page.mouse.move(left + 700, top + 500, { steps: 8 });
    // Still held down: the plan has followed already.
    await page.waitForFunction((old) => document.querySelector('.gist')?.textContent !== old, before, OFTEN);
    expect(await page.getByRole('button', { name: 'Undo' }).isEnabled()).toBe(true);
    await page.mouse.up();
    await page.click('text=Done');
    const { features } = await siteOf(page);
    const [lawn, edge] = features;
    const ring = (lawn.geometry.coordinates as number[][][])[0];
    const [a, b] = edge.geometry.coordinates as number[][];
    expect(ring).toContainEqual(a);
    expect(ring).toContainEqual(b);
    await page.context().close();
  });

  it('keeps the drawing over a reload, and reads back what it handed over', async () => {
    const { page } = await openPage(opened(), DESK);
    await drawLawn(page);
    await page.fill('#garden-name', 'Kept over the night');
    await page.press('#garden-name', 'Tab');
    await planned(page, /of wire/);
    await page.waitForFunction(() => document.title.startsWith('Kept over'), undefined, OFTEN);
    await page.click('text=Done');
    const site = await downloaded(page, 'site');
    await page.reload();
    await page.waitForFunction(() => document.title.startsWith('Kept over the night'), undefined, OFTEN);
    await drawn(page);
    expect(JSON.parse(await downloaded(page, 'site'))).toEqual(JSON.parse(site));
    await page.setInputFiles('#open', {
      name: 'again.geojson',
      mimeType: 'application/geo+json',
      buffer: Buffer.from(site),
    });
    await drawn(page);
    const plan: Plan = JSON.parse(await downloaded(page, 'geojson'));
    expect(plan.name).toBe('Kept over the night');
    expect(await downloaded(page, 'kml')).toContain('<kml xmlns="http://www.opengis.net/kml/2.2">');
    expect(await downloaded(page, 'dxf')).toContain('LWPOLYLINE');
    await page.context().close();
  });

  it('draws, sizes, marks and removes by keyboard alone', async () => {
    const { page } = await openPage(opened(), DESK);
    await page.focus('#new-garden');
    await page.keyboard.press('Enter');
    await page.focus('[data-tool=lawn]');
    await page.keyboard.press('Space');
    await page.locator('input[name=width]').fill('20');
    await page.locator('input[name=depth]').fill('12');
    await page.keyboard.press('Enter');
    await planned(page, /^240\sm² of lawn/);
    await page.getByLabel('Side 1 to 2, metres').fill('25');
    await page.keyboard.press('Enter');
    await planned(page, /^2[67]\d\sm² of lawn/);
    await page.focus('select[data-side="2"]');
    await page.keyboard.type('wall');
    await page.waitForFunction(
      () => document.querySelector('.key')?.textContent?.includes('Beyond: wall'),
      undefined,
      OFTEN,
    );
    await page.getByRole('button', { name: 'Remove', exact: true }).focus();
    await page.keyboard.press('Enter');
    expect(await page.locator('.in-hand').count()).toBe(0);
    await page.context().close();
  });

  it('splits a lawn along a drawn line and makes one of the halves again', async () => {
    const { page } = await openPage(opened(), DESK);
    await drawLawn(page);
    await page.getByRole('button', { name: 'Split' }).click();
    await clickAt(page, [570, 180]);
    await clickAt(page, [572, 640]);
    await page.keyboard.press('Enter');
    await page.waitForFunction(
      () => document.querySelector('.everything .quiet')?.textContent === '2',
      undefined,
      OFTEN,
    );
    await page.locator('.in-hand select').first().selectOption({ index: 1 });
    await page.waitForFunction(
      () => document.querySelector('.everything .quiet')?.textContent === '1',
      undefined,
      OFTEN,
    );
    await page.context().close();
  });

  it('works by touch on a phone, and nothing runs off to the side', async () => {
    const { page } = await openPage(opened(), {
      viewport: { width: 390, height: 844 },
      hasTouch: true,
      isMobile: true,
    });
    await page.getByRole('button', { name: 'Unfold' }).click();
    await page.click('#new-garden');
    await page.getByRole('button', { name: 'Unfold' }).click();
    await page.tap('[data-tool=lawn]');
    for (const [x, y] of [
      [80, 200],
      [310, 200],
      [310, 520],
      [80, 520],
      [80, 200],
    ]) {
      await page.touchscreen.tap(x, y);
      await page.waitForTimeout(150);
    }
    await planned(page, /m² of lawn/);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
    await page.screenshot({ path: `${SHOTS}table-390.png` });
    await page.getByRole('button', { name: 'Unfold' }).click();
    await page.screenshot({ path: `${SHOTS}table-390-unfolded.png` });
    await page.context().close();
  });

  it('has nothing that axe-core finds wrong, at the table and away from it, in both inks', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      const { page } = await openPage(opened(), { ...DESK, colorScheme });
      expect(await axeFaults(page)).toEqual([]);
      await page.click('#draw');
      await page.locator('.everything summary').click();
      await page.locator('.thing').nth(1).click();
      await page.click('[data-tool=building]');
      expect(await axeFaults(page)).toEqual([]);
      await page.context().close();
    }
  });

  it('opens every garden of the estate on the table and plans it as before', async () => {
    const { page, complaints } = await openPage(opened(), DESK);
    for (const title of ['House with a lawn on three sides', 'Old orchard', 'Villa by the lake']) {
      await chooseGarden(page, title);
      const before = await gist(page);
      await page.click('#draw');
      await page.locator('.everything summary').click();
      await page.locator('.thing').first().click();
      await page.getByRole('button', { name: 'East', exact: true }).click();
      await page.waitForFunction(() => document.querySelector('#sheet')?.ariaBusy !== 'true', undefined, OFTEN);
      await page.getByRole('button', { name: 'Undo' }).click();
      await page.waitForFunction((old) => document.querySelector('.gist')?.textContent === old, before, OFTEN);
      await page.click('text=Done');
    }
    expect(complaints).toEqual([]);
    await page.context().close();
  });
});
