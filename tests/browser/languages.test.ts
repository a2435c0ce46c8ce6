import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { EN } from '#map-client/wording/en.ts';
import { LANGUAGES, loadWords, type WordKey } from '#map-client/wording/words.ts';
import { axeFaults, chooseGarden, DESK, describeInBrowser, drawn, OFTEN, openPage, SHOTS } from './open-page.ts';

const GARDEN = 'Front lawn on its own';

/** Everything a person reads or hears on the page, but for what says of itself that it is English. */
const saidOn = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const said: string[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const parent = walker.currentNode.parentElement;
      if (parent?.closest('[lang=en], noscript') === null) said.push(walker.currentNode.textContent?.trim() ?? '');
    }
    for (const element of document.querySelectorAll('[aria-label]:not([lang=en] *)'))
      said.push(element.getAttribute('aria-label') ?? '');
    return said.filter((words) => words !== '');
  });

/** English words that the language has other words for. */
async function englishAmong(said: readonly string[], language: string): Promise<string[]> {
  const { say } = await loadWords(language);
  const keys = Object.keys(EN) as WordKey[];
  const own = new Set(keys.map((key) => say(key)));
  const english = new Set(Object.values(EN).filter((words) => !words.includes('{') && !own.has(words)));
  return said.filter((words) => english.has(words as never));
}

describeInBrowser('the languages of the pages', (opened) => {
  it.each(LANGUAGES.filter((language) => language !== 'en'))(
    'reads in %s from edge to edge, with nothing for axe-core to find',
    async (language) => {
      const { browser, url } = opened();
      const { page, complaints, foreign } = await openPage({ browser, url: `${url}?lang=${language}` }, DESK);
      await chooseGarden(page, GARDEN);
      expect(await page.evaluate(() => document.documentElement.lang)).toBe(language);
      expect(await englishAmong(await saidOn(page), language)).toEqual([]);
      await page.screenshot({ path: `${SHOTS}desk-1440-${language}.png` });
      await page.click('#draw');
      await page.locator('.everything summary').click();
      await page.locator('.thing').first().click();
      expect(await englishAmong(await saidOn(page), language)).toEqual([]);
      expect(await axeFaults(page)).toEqual([]);
      await page.goto(`${url}portfolio.html?lang=${language}`);
      await page.locator('#register table').waitFor();
      expect(await page.evaluate(() => document.documentElement.lang)).toBe(language);
      expect(await englishAmong(await saidOn(page), language)).toEqual([]);
      expect(await axeFaults(page)).toEqual([]);
      expect([...complaints, ...foreign]).toEqual([]);
      await page.context().close();
    },
  );

  it('changes while the page is open, is remembered over a reload and named in the address', async () => {
    const { page } = await openPage(opened(), DESK);
    await chooseGarden(page, GARDEN);
    await page.selectOption('#language', 'de');
    await page.waitForFunction(
      () => / Rasen, /.test(document.querySelector('.gist')?.textContent ?? ''),
      undefined,
      OFTEN,
    );
    expect(page.url()).toContain('lang=de');
    const number = await page.locator('.figures dd').last().textContent();
    expect(number).toMatch(/\d\s€|€/);
    await page.selectOption('#units', 'us');
    await page.waitForFunction(() => /ft²/.test(document.querySelector('.gist')?.textContent ?? ''), undefined, OFTEN);
    await drawn(page);
    const labels = await page.evaluate(() =>
      (window.loopwright?.map.queryRenderedFeatures({ layers: ['ground-name', 'zone-name'] }) ?? []).map(
        ({ properties }) => String(properties.label),
      ),
    );
    expect(labels.filter((label) => / m²/.test(label))).toEqual([]);
    await page.goto(new URL('/', page.url()).href);
    await drawn(page);
    expect(await page.evaluate(() => document.documentElement.lang)).toBe('de');
    expect(await page.locator('.gist').textContent()).toMatch(/ft² Rasen/);
    await page.context().close();
  });

  it('measures on the drawing table in feet: 100 ft by 50 ft are 5,000 square feet', async () => {
    const { browser, url } = opened();
    const { page } = await openPage({ browser, url: `${url}?lang=en&units=us` }, DESK);
    await page.click('#new-garden');
    await page.click('[data-tool=lawn]');
    await page.fill('input[name=width]', '100');
    await page.fill('input[name=depth]', '50');
    await page.keyboard.press('Enter');
    await page.waitForFunction(
      () => /^5,000\sft² of lawn/.test(document.querySelector('.gist')?.textContent ?? ''),
      undefined,
      OFTEN,
    );
    expect(await page.getByLabel('Side 1 to 2, feet').inputValue()).toBe('100.00');
    await page.getByLabel('Side 1 to 2, feet').fill('120');
    await page.keyboard.press('Enter');
    await page.waitForFunction(
      () => /^5,500\sft² of lawn/.test(document.querySelector('.gist')?.textContent ?? ''),
      undefined,
      OFTEN,
    );
    await page.screenshot({ path: `${SHOTS}table-1440-feet.png` });
    await page.context().close();
  });

  it('fits a phone in the longest of them', async () => {
    const { browser, url } = opened();
    for (const language of ['de', 'fr']) {
      const { page } = await openPage(
        { browser, url: `${url}?lang=${language}` },
        { viewport: { width: 390, height: 844 } },
      );
      await page.locator('.fold').click();
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
      await page.screenshot({ path: `${SHOTS}phone-390-${language}.png` });
      await page.context().close();
    }
  });
});
