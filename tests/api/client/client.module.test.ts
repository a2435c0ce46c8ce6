import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { afterAll, describe, expect, it } from 'vitest';
import { readClientFiles } from '#api/client/read-client-files.ts';
import { useService } from '../../support/test-app.ts';

const folder = mkdtempSync(join(tmpdir(), 'loopwright-client-'));
const outside = join(folder, 'secret.txt');
const dist = join(folder, 'dist');
mkdirSync(join(dist, 'assets'), { recursive: true });
writeFileSync(outside, 'not yours');
writeFileSync(join(dist, 'index.html'), '<!doctype html><title>Plan</title>');
writeFileSync(join(dist, 'assets', 'index-Bx3fT9_a.js'), 'export const answer = 42;');
writeFileSync(join(dist, 'assets', 'planner-worker-Qw8rT2yU.js'), 'self.postMessage(1);');
writeFileSync(join(dist, 'assets', 'kernel-AAAABBBB.wasm'), Uint8Array.of(0, 97, 115, 109));
writeFileSync(join(dist, 'assets', 'plain.png'), Uint8Array.of(137, 80, 78, 71));
afterAll(() => rmSync(folder, { recursive: true }));

const service = useService({ client: readClientFiles(dist) });
const get = (path: string, headers: Record<string, string> = {}) => service().request(path, { headers });

describe('the client', () => {
  it('is served at the root, under a policy that allows nothing from elsewhere', async () => {
    const answer = await get('/');
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'text/html; charset=utf-8']);
    expect(await answer.text()).toContain('<title>Plan</title>');
    const policy = answer.headers.get('content-security-policy') ?? '';
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self';");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toMatch(/unsafe|blob:|\*/);
  });

  it('lets the planner worker, and nothing else, compile the kernel', async () => {
    const worker = await get('/assets/planner-worker-Qw8rT2yU.js');
    expect(worker.headers.get('content-security-policy')).toBe(
      "default-src 'none'; script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'; connect-src 'self'",
    );
    const script = await get('/assets/index-Bx3fT9_a.js');
    expect(script.headers.get('content-security-policy')).not.toContain('unsafe');
  });

  it('may be kept for ever where the name changes with the content, and is asked about otherwise', async () => {
    expect((await get('/assets/index-Bx3fT9_a.js')).headers.get('cache-control')).toBe(
      'public, max-age=31536000, immutable',
    );
    expect((await get('/')).headers.get('cache-control')).toBe('no-cache');
    expect((await get('/assets/plain.png')).headers.get('cache-control')).toBe('no-cache');
  });

  it('is not sent again while it is the same', async () => {
    const etag = (await get('/')).headers.get('etag') ?? '';
    expect(etag).toMatch(/^"[\w-]{22}"$/);
    for (const tags of [etag, `W/${etag}`, `"other", ${etag}`, '*']) {
      const answer = await get('/', { 'if-none-match': tags });
      expect([answer.status, await answer.text()]).toEqual([304, '']);
    }
    expect((await get('/', { 'if-none-match': '"other"' })).status).toBe(200);
  });

  it('comes packed where that is accepted', async () => {
    const answer = await get('/assets/index-Bx3fT9_a.js', { 'accept-encoding': 'br, gzip' });
    expect([answer.headers.get('content-encoding'), answer.headers.get('vary')]).toEqual(['gzip', 'Accept-Encoding']);
    expect(gunzipSync(new Uint8Array(await answer.arrayBuffer())).toString()).toBe('export const answer = 42;');
    const image = await get('/assets/plain.png', { 'accept-encoding': 'gzip' });
    expect([image.headers.get('content-encoding'), image.headers.get('content-type')]).toEqual([null, 'image/png']);
  });

  it('says what a file is', async () => {
    expect((await get('/assets/kernel-AAAABBBB.wasm')).headers.get('content-type')).toBe('application/wasm');
  });

  it.each([
    '/secret.txt',
    '/../secret.txt',
    '/assets/../../secret.txt',
    '/%2e%2e/secret.txt',
    '/..%2fsecret.txt',
    '/assets',
    '/assets/',
  ])('does not leave its folder for %s', async (path) => {
    const answer = await get(path);
    expect(answer.status).toBe(404);
    expect(await answer.text()).not.toContain('not yours');
  });

  it('does not stand in the way of the service', async () => {
    expect((await get('/health')).status).toBe(200);
    expect((await get('/plan')).status).toBe(405);
  });
});

describe('read client files', () => {
  it('finds nothing where there is no folder', () => {
    expect(readClientFiles(join(folder, 'nothing')).size).toBe(0);
  });
});
