import { describe, expect, it } from 'vitest';
import { garden } from '../support/garden.ts';
import { useKeptService } from '../support/kept-service.ts';
import { readPdf } from '../support/read-pdf.ts';

const service = useKeptService();
const FIRM = { name: 'Wiesengrund (example)', colour: '#3a5a2b' };

describe('papers of a kept site', () => {
  it('are PDF and page, in the letterhead of the profile that the site names', async () => {
    const kept = await service().send('PUT', '/ogc/firm-profiles/ours', FIRM, { 'content-type': 'application/json' });
    expect(kept.status).toBe(204);
    const id = await service().addSite({ ...garden(), id: 'papered', papers: { firm: 'ours', date: '2026-03-01' } });
    for (const path of ['proposal', 'crew-sheets']) {
      const pdf = await service().request(`/ogc/sites/${id}/${path}?f=pdf`);
      expect([pdf.status, pdf.headers.get('content-type')]).toEqual([200, 'application/pdf']);
      const { pages } = await readPdf(new Uint8Array(await pdf.arrayBuffer()));
      expect(pages[0].text).toContain('Wiesengrund (example)');
      expect(pages[0].text).toContain('March 1, 2026');
      const page = await service().request(`/ogc/sites/${id}/${path}`, { headers: { accept: 'text/html' } });
      expect(page.headers.get('content-security-policy')).toContain("default-src 'none'");
      expect(await page.text()).toContain('Wiesengrund (example)');
    }
  });

  it('of an old version show the old plan', async () => {
    const id = await service().addSite({ ...garden(), id: 'twice', prices: { currency: 'EUR' } });
    await service().addSite({ ...garden(), id: 'twice-2', prices: { currency: 'CHF' } });
    const old = await (await service().request(`/ogc/sites/${id}/proposal?f=html&version=1`)).text();
    expect(old).toContain('€');
    const none = await service().request(`/ogc/sites/${id}/proposal?version=7`);
    expect(none.status).toBe(404);
  });

  it('refuse a profile that no paper could carry, by place', async () => {
    const answer = await service().send(
      'PUT',
      '/ogc/firm-profiles/bad',
      { logo: 'https://example.com/x.png', colour: 'red' },
      { 'content-type': 'application/json' },
    );
    expect(answer.status).toBe(422);
    const { errors } = await answer.json();
    expect(errors.map(({ pointer }: { pointer: string }) => pointer).toSorted()).toEqual(['/colour', '/logo']);
  });
});

describe('POST /plan', () => {
  const post = (query: string, site: unknown, headers: Record<string, string> = {}) =>
    service().request(`/plan${query}`, {
      method: 'POST',
      headers: { 'content-type': 'application/geo+json', ...headers },
      body: JSON.stringify(site),
    });

  it.each([
    ['proposal-pdf', 'application/pdf'],
    ['proposal-html', 'text/html; charset=utf-8'],
    ['crew-pdf', 'application/pdf'],
    ['crew-html', 'text/html; charset=utf-8'],
  ])('writes %s', async (format, mediaType) => {
    const answer = await post(`?f=${format}`, garden());
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, mediaType]);
  });

  it('writes the proposal for who likes PDF best', async () => {
    const answer = await post('', garden(), { accept: 'application/pdf' });
    expect(answer.headers.get('content-type')).toBe('application/pdf');
  });

  it('points to the rules of an option that cannot be planned', async () => {
    const papers = { options: [{ name: 'Odd', rules: { mowWidthM: -1 } }] };
    const answer = await post('?f=proposal-pdf', { ...garden(), papers });
    expect(answer.status).toBe(422);
    const { errors } = await answer.json();
    expect(errors[0].pointer).toBe('/papers/options/0/rules/mowWidthM');
  });

  it('points to what is wrong about papers', async () => {
    const answer = await post('?f=proposal-pdf', { ...garden(), papers: { date: 'soon', validDays: -1 } });
    const { errors } = await answer.json();
    expect(errors.map(({ pointer }: { pointer: string }) => pointer).toSorted()).toEqual([
      '/papers/date',
      '/papers/validDays',
    ]);
  });
});
