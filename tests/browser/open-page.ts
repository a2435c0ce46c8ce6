import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import axe from 'axe-core';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { build } from 'vite';
import { afterAll, beforeAll, describe } from 'vitest';
import type {} from '#map-client/page-hook.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const LOCK = `${root}.tsbuild/client-lock`;
const LEFT_AFTER_MS = 110_000;
const CHROMIUM = '/usr/bin/chromium';

/** Where tests leave what they saw. */
export const SHOTS = fileURLToPath(new URL('./shots/', import.meta.url));
export const DESK = { viewport: { width: 1440, height: 900 } };
/** Looks again by the clock: frames may be late where pictures are drawn without a graphics card. */
export const OFTEN = { polling: 100 };

/** A browser, and the address of a service of the tests' own. */
export type Opened = { readonly browser: Browser; readonly url: string };

/** Tests in a browser, skipped where there is none; `opened` gives browser and service inside a test. Maps are drawn without a graphics card here: they have time. */
export function describeInBrowser(name: string, tests: (opened: () => Opened) => void): void {
  describe.skipIf(!existsSync(CHROMIUM))(`${name} (needs ${CHROMIUM})`, { timeout: 240_000 }, () => {
    let browser: Browser | undefined;
    let service: RunningService | undefined;

    beforeAll(async () => {
      mkdirSync(SHOTS, { recursive: true });
      service = await startService();
      browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] });
    }, 240_000);

    afterAll(async () => {
      await browser?.close();
      await service?.stop();
    });

    tests(() => {
      if (browser === undefined || service === undefined) throw new Error('the browser is open in tests only');
      return { browser, url: service.url };
    });
  });
}

/** A service with the built client, on a port of its own choice. */
type RunningService = { readonly url: string; readonly stop: () => Promise<void> };

/** Builds the client and starts the real service on it. Test files run side by side but share the built client: one at a time. */
async function startService(): Promise<RunningService> {
  while (!takeLock()) await setTimeout(250);
  try {
    await build({ configFile: `${root}map-client/vite.config.ts`, logLevel: 'error' });
    return await serve();
  } finally {
    rmdirSync(LOCK);
  }
}

function takeLock(): boolean {
  mkdirSync(dirname(LOCK), { recursive: true });
  try {
    mkdirSync(LOCK);
    return true;
  } catch {
    // A run that was killed leaves its lock: it is taken over once no build could still be going on.
    const takenAtMs = statSync(LOCK, { throwIfNoEntry: false })?.mtimeMs;
    return takenAtMs !== undefined && Date.now() - takenAtMs > LEFT_AFTER_MS;
  }
}

/** Starts the service as a process and waits for its line `listening`; it reads the client's files once, before that. */
async function serve(): Promise<RunningService> {
  const folder = mkdtempSync(join(tmpdir(), 'loopwright-browser-'));
  const env = { ...process.env, HOST: '127.0.0.1', PORT: '0', LOOPWRIGHT_WORKERS: '1', LOOPWRIGHT_DATA: folder };
  const service = spawn(process.execPath, ['--import', 'tsx', 'api/main.ts'], { cwd: root, env });
  const url = await listening(service);
  return {
    url,
    stop: () =>
      new Promise((resolve) => {
        service.once('exit', () => {
          rmSync(folder, { recursive: true, force: true });
          resolve();
        });
        service.kill('SIGTERM');
      }),
  };
}

function listening(service: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let [said, complaint] = ['', ''];
    service.stderr?.on('data', (chunk) => {
      complaint += String(chunk);
    });
    service.stdout?.on('data', (chunk) => {
      said += String(chunk);
      const line = said.split('\n').find((written) => written.includes('"listening"'));
      if (line !== undefined) resolve(String(JSON.parse(line).url));
    });
    service.once('exit', (code) => reject(new Error(`the service ended with ${code}: ${complaint}${said}`)));
  });
}

/** A page and everything it complained about or fetched from elsewhere. */
export type WatchedPage = { readonly page: Page; readonly complaints: string[]; readonly foreign: string[] };

/** Opens the client and waits until its first drawing is finished. */
export async function openPage({ browser, url }: Opened, options: BrowserContextOptions): Promise<WatchedPage> {
  const context = await browser.newContext({ reducedMotion: 'reduce', acceptDownloads: true, ...options });
  const page = await context.newPage();
  const complaints: string[] = [];
  const foreign: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('request', (request) => {
    const { origin, protocol } = new URL(request.url());
    if (origin !== new URL(url).origin && protocol !== 'data:' && protocol !== 'blob:') foreign.push(request.url());
  });
  await page.goto(url);
  await drawn(page);
  return { page, complaints, foreign };
}

/** What axe-core finds wrong with a page, each with its places. */
export async function axeFaults(page: Page): Promise<string[]> {
  await page.evaluate(axe.source);
  return page.evaluate(async () => {
    const { violations } = await Reflect.get(window, 'axe').run();
    return violations.map(
      ({ id, nodes }: { id: string; nodes: { target: unknown }[] }) =>
        `${id}: ${nodes.map(({ target }) => target).join(', ')}`,
    );
  });
}

/** Waits until nothing is being planned or drawn any more. */
export async function drawn(page: Page): Promise<void> {
  await page.waitForFunction(() => {
    const busy = document.querySelector('#sheet')?.ariaBusy === 'true';
    return !busy && document.querySelector<HTMLElement>('#map')?.dataset.state === 'drawn';
  });
}

/** Chooses a garden by its title and waits for its drawing. */
export async function chooseGarden(page: Page, title: string): Promise<void> {
  await page.selectOption('#garden', { label: title });
  await page.waitForFunction((wanted) => document.title.startsWith(wanted), title);
  await drawn(page);
}

/** How many plan features of each kind the map has on screen (by id, because tiles cut features into parts). */
export function drawnByKind(page: Page): Promise<Record<string, number>> {
  return page.evaluate(() => {
    const ids: Record<string, Set<string>> = {};
    for (const { properties } of window.loopwright?.map.queryRenderedFeatures() ?? []) {
      if (typeof properties.id !== 'string') continue;
      ids[properties.kind] ??= new Set();
      ids[properties.kind].add(properties.id);
    }
    return Object.fromEntries(Object.entries(ids).map(([kind, found]) => [kind, found.size]));
  });
}
