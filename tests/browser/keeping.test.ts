import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { axeFaults, chooseGarden, DESK, describeInBrowser, drawn, OFTEN, openPage, SHOTS } from './open-page.ts';

const GARDEN = 'House with a lawn on three sides';

async function says(page: Page, words: RegExp): Promise<void> {
  await page.waitForFunction(
    (source) => new RegExp(source).test(document.querySelector('.keeping')?.textContent ?? ''),
    words.source,
    OFTEN,
  );
}

/** Gives the garden another name on the drawing table. */
async function rename(page: Page, name: string): Promise<void> {
  await page.click('#draw');
  await page.fill('#garden-name', name);
  await page.press('#garden-name', 'Tab');
  await page.waitForFunction((wanted) => document.title.startsWith(wanted), name, OFTEN);
  await page.click('text=Done');
}

describeInBrowser('gardens kept by the service', (opened) => {
  const named = async (): Promise<string[]> => {
    const { features } = await (await fetch(`${opened().url}ogc/collections/sites/items?f=json`)).json();
    return features.map(({ properties }: { properties: { name: string } }) => properties.name).toSorted();
  };

  it('are opened again by their address, and nobody writes over what another has written', async () => {
    const first = await openPage(opened(), DESK);
    await chooseGarden(first.page, GARDEN);
    await first.page.click('#keep');
    await says(first.page, /Kept at/);
    expect(await named()).toEqual([GARDEN]);
    const address = first.page.url();
    expect(address).toMatch(/#kept=[\w-]+&view=/);

    const second = await openPage({ ...opened(), url: address }, DESK);
    expect(await second.page.title()).toContain(GARDEN);
    const view = (page: Page) =>
      page.evaluate(() => {
        const { lng, lat } = window.loopwright?.map.getCenter() ?? { lng: 0, lat: 0 };
        return [lng.toFixed(6), lat.toFixed(6), window.loopwright?.map.getZoom().toFixed(1)];
      });
    expect(await view(second.page)).toEqual(await view(first.page));

    await rename(second.page, 'Second hand');
    await second.page.click('#keep');
    await says(second.page, /Kept at/);
    expect(await named()).toEqual(['Second hand']);

    await rename(first.page, 'First hand');
    await first.page.click('#keep');
    await first.page.locator('.conflict').waitFor();
    await first.page.screenshot({ path: `${SHOTS}keeping-1440-conflict.png` });
    expect(await named()).toEqual(['Second hand']);
    await first.page.click('#keep-beside');
    await says(first.page, /Kept at/);
    expect(await named()).toEqual(['First hand (beside)', 'Second hand']);

    await rename(second.page, 'Second thought');
    await second.page.click('#keep');
    await says(second.page, /Kept at/);
    expect(await named()).toEqual(['First hand (beside)', 'Second thought']);
    for (const { page, complaints, foreign } of [first, second]) {
      // The conflict itself is a failed request to the browser, and no other is.
      expect(complaints.filter((text) => !text.includes('412'))).toEqual([]);
      expect(foreign).toEqual([]);
      await page.context().close();
    }
  });

  it('keeps what was not kept yet over a reload, and knows which garden it belongs to', async () => {
    const { page } = await openPage(opened(), DESK);
    await chooseGarden(page, 'Old orchard');
    await page.click('#keep');
    await says(page, /Kept at/);
    await rename(page, 'Older orchard');
    await page.reload();
    await drawn(page);
    expect(await page.title()).toContain('Older orchard');
    await says(page, /not kept yet/);
    await page.click('#keep');
    await says(page, /Kept at/);
    expect(await named()).toContain('Older orchard');
    expect(await named()).not.toContain('Old orchard');
    await page.context().close();
  });

  it('can be chosen from the list on a phone, with nothing that axe-core finds wrong', async () => {
    const { page } = await openPage(opened(), { viewport: { width: 390, height: 844 }, isMobile: true });
    await page.getByRole('button', { name: 'Unfold' }).click();
    await page.click('#list-kept');
    await page.selectOption('#kept', { label: 'Older orchard' });
    await page.waitForFunction(() => document.title.startsWith('Older orchard'), undefined, OFTEN);
    await drawn(page);
    await page.getByRole('button', { name: /Unfold|Fold away/ }).click();
    await page.screenshot({ path: `${SHOTS}keeping-390.png` });
    expect(await axeFaults(page)).toEqual([]);
    await page.context().close();
  });
});
