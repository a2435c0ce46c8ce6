import { readFileSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import type { Plan, PlanKind } from '#geo-core/model/plan.ts';
import { chooseGarden, DESK, describeInBrowser, drawn, drawnByKind, openPage, SHOTS } from './open-page.ts';

const SITES = fileURLToPath(new URL('../../fixtures/sites/', import.meta.url));
const SLIDER = '#steps input[type=range]';

/** Kinds that lie on the sheet whole, whatever the zoom. */
const COUNTED: readonly PlanKind[] = ['route', 'keep-out-loop', 'lead', 'zone', 'station', 'splice', 'bay'];

type GardenEntry = { readonly file: string; readonly title: string };
const estate: readonly GardenEntry[] = JSON.parse(readFileSync(`${SITES}estate/index.json`, 'utf8'));

async function downloadedPlan(page: Page): Promise<Plan> {
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Download', exact: true }).click(),
  ]);
  return JSON.parse(await readFile(await download.path(), 'utf8'));
}

describeInBrowser('the map in a browser', (opened) => {
  it('draws every garden of the estate as its plan says, without a complaint, from its own host alone', async () => {
    const { page, complaints, foreign } = await openPage(opened(), DESK);
    for (const { title } of estate) {
      await chooseGarden(page, title);
      const plan = await downloadedPlan(page);
      const expected = Object.fromEntries(
        COUNTED.map((kind) => [kind, plan.features.filter(({ properties }) => properties.kind === kind).length]),
      );
      const found = await drawnByKind(page);
      const counted = Object.fromEntries(COUNTED.map((kind) => [kind, found[kind] ?? 0]));
      expect(counted, title).toEqual(expected);
    }
    expect(complaints).toEqual([]);
    expect(foreign).toEqual([]);
    await page.context().close();
  });

  it('plans in the browser what the service plans, to a hundredth of a millimetre', async () => {
    const { page } = await openPage(opened(), DESK);
    await chooseGarden(page, 'Corner house with pond');
    const plan = await downloadedPlan(page);
    const response = await fetch(new URL('/plan', opened().url), {
      method: 'POST',
      headers: { 'content-type': 'application/geo+json' },
      body: readFileSync(`${SITES}estate/corner-house-with-pond.geojson`),
    });
    expect(response.status).toBe(200);
    const served: Plan = await response.json();
    expect(plan.findings).toEqual(served.findings);
    const route = ({ features }: Plan) => features.find(({ properties }) => properties.kind === 'route');
    expect(route(plan)).toEqual(route(served));
    for (const [figure, value] of Object.entries(served.summary)) {
      const drawnValue = plan.summary[figure as keyof Plan['summary']];
      if (typeof value === 'number') expect(Math.abs(Number(drawnValue) - value), figure).toBeLessThan(1e-5);
      else expect(drawnValue, figure).toBe(value);
    }
    await page.context().close();
  });

  it('draws the wire in ink: the sheet looks different with and without it', async () => {
    const { page } = await openPage(opened(), DESK);
    const map = page.locator('#map');
    await page.locator(SLIDER).fill('8');
    await drawn(page);
    await page.waitForTimeout(300);
    const before = await map.screenshot();
    await page.locator(SLIDER).fill('9');
    await page.waitForTimeout(300);
    expect((await map.screenshot()).equals(before)).toBe(false);
    expect((await drawnByKind(page)).route).toBe(1);
    await page.context().close();
  });

  it('steps by arrow keys from the site as given to the finished plan, seventeen steps with names of their own', async () => {
    const { page, complaints } = await openPage(opened(), DESK);
    await page.locator(SLIDER).focus();
    await page.keyboard.press('Home');
    const titles: string[] = [];
    for (let step = 0; step < 16; step++) {
      expect(await page.locator(SLIDER).inputValue()).toBe(String(step));
      titles.push((await page.locator('.steps-title').textContent()) ?? '');
      expect(await page.locator('.steps-did').textContent()).toMatch(/.{10}/);
      await page.keyboard.press('ArrowRight');
    }
    expect(new Set(titles).size).toBe(16);
    await page.locator(SLIDER).fill('0');
    await page.waitForTimeout(300);
    expect(await drawnByKind(page)).toEqual({});
    await page.getByRole('button', { name: 'Next' }).click();
    expect(await page.locator(SLIDER).inputValue()).toBe('1');
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it('flies to the place of a finding and rings it', async () => {
    const { page } = await openPage(opened(), DESK);
    await chooseGarden(page, 'Garden of traps');
    const plan = await downloadedPlan(page);
    const finding = page.locator('button.finding').first();
    const code = await finding.getAttribute('data-code');
    await finding.click();
    await page.waitForTimeout(300);
    const { lng, lat } = await page.evaluate(() => window.loopwright?.map.getCenter() ?? { lng: 0, lat: 0 });
    const places = plan.findings.filter((noticed) => noticed.code === code && noticed.at !== null);
    // One hundred-thousandth of a degree is about a metre.
    expect(places.some(({ at }) => Math.abs(at![0] - lng) < 1e-6 && Math.abs(at![1] - lat) < 1e-6)).toBe(true);
    expect(await finding.getAttribute('aria-current')).toBe('location');
    const ringed = await page.evaluate(
      () => window.loopwright?.map.queryRenderedFeatures({ layers: ['place-mark'] }).length,
    );
    expect(ringed).toBe(1);
    await page.context().close();
  });

  it('re-plans at once when another rule set is chosen, and says so in the title block', async () => {
    const { page } = await openPage(opened(), DESK);
    await chooseGarden(page, 'Corner house with pond');
    const before = await downloadedPlan(page);
    await page.selectOption('#rules', 'large-lawn');
    await page.waitForFunction(() => document.querySelector('.title-block')?.textContent?.includes('large-lawn'));
    await drawn(page);
    const after = await downloadedPlan(page);
    expect(after.rules.name).toBe('large-lawn');
    expect(after.summary.workingAreaM2).toBeLessThan(before.summary.workingAreaM2);
    await page.context().close();
  });

  it('plans a file of the person’s own, and says in words with a pointer what is wrong with a broken one', async () => {
    const { page, complaints } = await openPage(opened(), DESK);
    const square = [
      [7, 50],
      [7.0003, 50],
      [7.0003, 50.0002],
      [7, 50.0002],
      [7, 50],
    ];
    const own = {
      type: 'FeatureCollection',
      name: 'My own square',
      features: [
        { type: 'Feature', properties: { kind: 'lawn' }, geometry: { type: 'Polygon', coordinates: [square] } },
      ],
    };
    const file = (name: string, content: string) => ({
      name,
      mimeType: 'application/geo+json',
      buffer: Buffer.from(content),
    });
    await page.setInputFiles('#open', file('square.geojson', JSON.stringify(own)));
    await page.waitForFunction(() => document.title.startsWith('My own square'));
    await drawn(page);
    expect((await drawnByKind(page)).route).toBe(1);

    const broken = {
      ...(structuredClone(own) as { features: { geometry: { coordinates: unknown } }[] }),
      quiet: 'always',
    };
    broken.features[0].geometry.coordinates = [
      [
        [7, 50],
        [7, 'fifty'],
      ],
    ];
    await page.setInputFiles('#open', file('broken.geojson', JSON.stringify(broken)));
    const alert = page.getByRole('alert');
    await alert.waitFor();
    expect(await alert.textContent()).toContain('broken.geojson cannot be planned');
    expect(await alert.locator('code').allTextContents()).toEqual(['/quiet', '/features/0/geometry/coordinates/0/1/1']);
    expect(await alert.textContent()).toContain('a list is wanted, this is the text "always"');

    await page.setInputFiles('#open', file('torn.geojson', '{"type": "FeatureCollection", '));
    await page.waitForFunction(() => document.querySelector('[role=alert]')?.textContent?.includes('torn.geojson'));
    expect(await alert.textContent()).toContain('not JSON');
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it('plans a file that is dropped on the page, and never reads its words as markup', async () => {
    const { page, complaints } = await openPage(opened(), DESK);
    await page.evaluate(() => {
      const name = '<img src=x onerror="document.title=`broken in`">';
      const ring = [
        [7, 50],
        [7.0003, 50],
        [7.0003, 50.0002],
        [7, 50],
      ];
      const feature = {
        type: 'Feature',
        properties: { kind: 'lawn' },
        geometry: { type: 'Polygon', coordinates: [ring] },
      };
      const data = new DataTransfer();
      data.items.add(
        new File([JSON.stringify({ type: 'FeatureCollection', name, features: [feature] })], 'dropped.geojson'),
      );
      window.dispatchEvent(new DragEvent('drop', { dataTransfer: data, cancelable: true }));
    });
    await page.waitForFunction(() => document.querySelector('.title-block .site')?.textContent?.startsWith('<img'));
    await drawn(page);
    expect(await page.locator('img').count()).toBe(0);
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it('can be used by keyboard alone, on targets of at least 44 pixels', async () => {
    const { page } = await openPage(opened(), DESK);
    await page.keyboard.press('Tab');
    expect(await page.evaluate(() => document.activeElement?.className)).toBe('skip');
    await page.keyboard.press('Enter');
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('margin');
    await page.keyboard.press('Tab');
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('garden');
    const outline = await page.evaluate(() => getComputedStyle(document.activeElement ?? document.body).outlineWidth);
    expect(Number.parseFloat(outline)).toBeGreaterThanOrEqual(2);
    const tooSmall = await page.evaluate(() =>
      [...document.querySelectorAll('button, select, summary, input[type=range], .button')]
        .filter((target) => target.checkVisibility())
        .map((target) => ({ words: target.textContent, box: target.getBoundingClientRect() }))
        .filter(({ box }) => box.height < 44 || box.width < 44)
        .map(({ words, box }) => `${words} ${box.width} x ${box.height}`),
    );
    expect(tooSmall).toEqual([]);
    await page.context().close();
  });

  it('fits a phone: nothing runs off to the side, the margin unfolds from below', async () => {
    const { page, complaints } = await openPage(opened(), { viewport: { width: 390, height: 844 } });
    const widest = (): Promise<number> => page.evaluate(() => document.documentElement.scrollWidth);
    expect(await widest()).toBeLessThanOrEqual(390);
    expect(await page.locator('#garden').isVisible()).toBe(false);
    await page.screenshot({ path: `${SHOTS}phone-390.png` });
    await page.getByRole('button', { name: 'Unfold' }).click();
    expect(await widest()).toBeLessThanOrEqual(390);
    await page.screenshot({ path: `${SHOTS}phone-390-unfolded.png` });
    await chooseGarden(page, 'Three lawns and their necks');
    expect(await page.locator('#garden').isVisible()).toBe(false);
    await page.screenshot({ path: `${SHOTS}phone-390-three-lawns.png` });
    await page.getByRole('button', { name: 'Unfold' }).click();
    await page.locator('button.finding').first().click();
    expect(await page.locator('#garden').isVisible()).toBe(false);
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it('turns to a blueprint where the person likes it dark, and back by a switch', async () => {
    const { page } = await openPage(opened(), { ...DESK, colorScheme: 'dark' });
    const ink = (): Promise<string | undefined> => page.evaluate(() => document.documentElement.dataset.ink);
    expect(await ink()).toBe('blueprint');
    await page.screenshot({ path: `${SHOTS}desk-1440-blueprint.png` });
    await page.getByRole('button', { name: 'Paper and ink' }).click();
    expect(await ink()).toBe('paper');
    await page.waitForTimeout(500);
    expect((await drawnByKind(page)).route).toBe(1);
    await page.context().close();
  });

  it('draws the wire along its chainage where motion is welcome, and at once where it is not', async () => {
    const shares: Record<string, number> = {};
    for (const reducedMotion of ['no-preference', 'reduce'] as const) {
      const { page } = await openPage(opened(), { viewport: { width: 480, height: 480 }, reducedMotion });
      await page.getByRole('button', { name: 'Unfold' }).click();
      await page.evaluate(() => {
        const map = window.loopwright?.map;
        const least = { ticks: Number.POSITIVE_INFINITY };
        Object.assign(window, { least });
        map?.on('render', () => {
          least.ticks = Math.min(least.ticks, map.queryRenderedFeatures({ layers: ['route-tick'] }).length);
        });
      });
      await page.selectOption('#rules', 'two-distance');
      await page.waitForFunction(() => document.querySelector('.title-block')?.textContent?.includes('two-distance'));
      await drawn(page);
      shares[reducedMotion] = await page.evaluate(() => {
        const ticks = window.loopwright?.map.queryRenderedFeatures({ layers: ['route-tick'] }).length ?? 0;
        return Number(Reflect.get(Reflect.get(window, 'least'), 'ticks')) / ticks;
      });
      await page.context().close();
    }
    expect(shares['no-preference']).toBeLessThan(0.9);
    expect(shares.reduce).toBeGreaterThan(0.9);
  });

  it('tells in words when a garden cannot be fetched', async () => {
    const { page } = await openPage(opened(), DESK);
    await page.route('**/*.geojson', (route) => route.abort());
    await page.selectOption('#garden', { label: 'Old orchard' });
    await page.getByRole('alert').waitFor();
    expect(await page.getByRole('alert').textContent()).toContain('could not be read');
    expect(await page.locator('#sheet').getAttribute('aria-busy')).toBe('false');
    await page.context().close();
  });

  it('is photographed at three widths', async () => {
    for (const [width, height] of [
      [1440, 900],
      [1024, 768],
    ]) {
      const { page } = await openPage(opened(), { viewport: { width, height } });
      for (const title of ['House with a lawn on three sides', 'Three lawns and their necks', 'Villa by the lake']) {
        await chooseGarden(page, title);
        await page.screenshot({ path: `${SHOTS}desk-${width}-${title.toLowerCase().replaceAll(' ', '-')}.png` });
      }
      const canvas = await page.locator('#map canvas').boundingBox();
      expect(canvas?.width).toBeGreaterThan(width / 2);
      await page.context().close();
    }
  });
});
