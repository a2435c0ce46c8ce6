import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { axeFaults, DESK, describeInBrowser, drawn, OFTEN, SHOTS } from './open-page.ts';

const ESTATE = fileURLToPath(new URL('../../fixtures/sites/estate/', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'loopwright-register-'));

/** The estate as one file, a site a line, and a line in between that is none. */
function siteFile(): string {
  const index: readonly { file: string }[] = JSON.parse(readFileSync(`${ESTATE}index.json`, 'utf8'));
  const lines = index.map(({ file }) => JSON.stringify(JSON.parse(readFileSync(`${ESTATE}${file}`, 'utf8'))));
  const path = join(folder, 'estate.geojsonl');
  writeFileSync(path, [...lines.slice(0, 2), '{"type":"Nothing"}', ...lines.slice(2)].join('\n'));
  return path;
}

const text = (page: Page, selector: string) => page.locator(selector).textContent();
const untilSaid = (page: Page, selector: string, words: RegExp) =>
  page.waitForFunction(
    ([where, source]) => new RegExp(source).test(document.querySelector(where)?.textContent ?? ''),
    [selector, words.source],
    OFTEN,
  );

describeInBrowser('the register in a browser', (opened) => {
  let page: Page;
  const complaints: string[] = [];

  beforeAll(async () => {
    const { browser, url } = opened();
    page = await (await browser.newContext({ reducedMotion: 'reduce', ...DESK })).newPage();
    page.on('console', (message) => {
      if (message.type() === 'error') complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(error.message));
    await page.goto(`${url}portfolio.html`);
  });

  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it('takes a file of sites with its progress, and tells the line that is none', async () => {
    await untilSaid(page, '#head', /Nothing is kept yet/);
    await page.setInputFiles('#sites', siteFile());
    await untilSaid(page, '#head', /12 sites are kept, 1 refused\. Done/);
    await untilSaid(page, '#head', /12 gardens are kept/);
    expect(await page.locator('.upload details').textContent()).toMatch(/Line 3: /);
    expect(complaints.filter((said) => !/400|422/.test(said))).toEqual([]);
  });

  it('colours, filters, sorts and adds up', async () => {
    await untilSaid(page, '.totals', /Planned\s*1[0-2]/);
    await page.selectOption('#figure', 'lawnAreaM2');
    await page.getByRole('button', { name: 'Lawn', exact: true }).click();
    const areas = async () =>
      (await page.locator('#register tbody tr td:nth-child(2)').allInnerTexts()).map((said) =>
        Number(said.replace(/[^\d]/g, '')),
      );
    const sorted = await areas();
    expect(sorted).toHaveLength(12);
    expect(sorted).toEqual(sorted.toSorted((a, b) => b - a));
    await page.screenshot({ path: `${SHOTS}register-1440.png` });
    await page.fill('#from', '1000');
    await page.press('#from', 'Tab');
    const large = await areas();
    expect(large).toEqual(sorted.filter((area) => area >= 1000));
    expect(await text(page, '.totals')).toMatch(new RegExp(`Chosen\\s*${large.length}\\s*Planned`));
    await page.fill('#from', '');
    await page.press('#from', 'Tab');
  });

  it('flies to a garden that is picked in the register, and opens it on the drawing', async () => {
    const row = page.locator('#register tbody tr').first();
    const name = await row.locator('button.name').textContent();
    await row.locator('button.name').click();
    await page.waitForFunction(() => document.querySelector('tr.picked') !== null, undefined, OFTEN);
    await page.waitForTimeout(1500);
    await page.screenshot({ path: `${SHOTS}register-1440-near.png` });
    await row.getByRole('link').click();
    await page.waitForFunction((wanted) => document.title.startsWith(wanted ?? '?'), name, OFTEN);
    await drawn(page);
    await page.goBack();
    await untilSaid(page, '#head', /12 gardens are kept/);
  });

  it('fits a phone, and axe-core finds nothing wrong with it', async () => {
    expect(await axeFaults(page)).toEqual([]);
    await page.setViewportSize({ width: 390, height: 844 });
    await page.waitForTimeout(500);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
    await page.screenshot({ path: `${SHOTS}register-390.png`, fullPage: true });
    expect(await axeFaults(page)).toEqual([]);
  });
});
