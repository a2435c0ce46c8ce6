import { describe, expect, it } from 'vitest';
import { garden } from '../support/garden.ts';
import { useKeptService } from '../support/kept-service.ts';

const service = useKeptService();
const JSON_TYPE = { 'content-type': 'application/json' };
const put = (path: string, body: unknown, headers = {}) =>
  service().send('PUT', `/ogc${path}`, body, { ...JSON_TYPE, ...headers });

const FIRST = {
  currency: 'EUR',
  taxPct: 19,
  validFrom: '2026-01-01',
  validUntil: '2026-12-31',
  items: { wire: '0.4999', peg: { price: 0.11, discountPct: 5 } },
  spools: [{ lengthM: 100, price: '4.25' }, { lengthM: 250 }],
};

describe('price books', () => {
  it('keep every version: listed, read one by one, with validators', async () => {
    const made = await put('/price-books/garden-firm', FIRST, { 'if-none-match': '*' });
    expect(made.status).toBe(204);
    const first = made.headers.get('etag') ?? '';
    expect((await put('/price-books/garden-firm', FIRST, { 'if-none-match': '*' })).status).toBe(412);
    const second = await put('/price-books/garden-firm', { ...FIRST, taxPct: 7 }, { 'if-match': first });
    expect(second.status).toBe(204);
    expect((await put('/price-books/garden-firm', FIRST, { 'if-match': first })).status).toBe(412);
    const { versions } = (await service().json('/ogc/price-books/garden-firm/versions')) as unknown as {
      versions: { version: number }[];
    };
    expect(versions.map(({ version }) => version)).toEqual([1, 2]);
    expect(await service().json('/ogc/price-books/garden-firm?version=1')).toEqual(FIRST);
    expect(await service().json('/ogc/price-books/garden-firm')).toMatchObject({ taxPct: 7 });
    const again = await service().request('/ogc/price-books/garden-firm', {
      headers: { 'if-none-match': second.headers.get('etag') ?? '' },
    });
    expect(again.status).toBe(304);
    for (const [path, status] of [
      ['/ogc/price-books/garden-firm?version=3', 404],
      ['/ogc/price-books/garden-firm?version=last', 400],
      ['/ogc/price-books/nobody/versions', 404],
    ] as const)
      expect([path, (await service().request(path)).status]).toEqual([path, status]);
  });

  it('say what is wrong with them, each place with a pointer', async () => {
    const answer = await put('/price-books/wrong', {
      currency: 'XYZ',
      taxPct: '19 %',
      validFrom: '2026-12-31',
      validUntil: '2026-01-01',
      items: { wire: { price: -1 }, peg: { tax: 'reduced' } },
      spools: [{ lengthM: 1 }],
      rounding: { at: 'end' },
    });
    expect(answer.status).toBe(422);
    const { errors } = await answer.json();
    const pointers = errors.map(({ pointer }: { pointer: string }) => pointer);
    for (const pointer of ['/currency', '/taxPct', '/items/wire/price', '/spools/0/lengthM', '/rounding/at'])
      expect(pointers).toContain(pointer);
    const later = await put('/price-books/wrong', {
      validFrom: '2026-12-31',
      validUntil: '2026-01-01',
      items: { peg: { tax: 'reduced' } },
    });
    expect((await later.json()).errors).toEqual([
      { pointer: '/items/peg/tax', detail: 'no rate has this name: write one of standard, or add it to taxes' },
      { pointer: '/validUntil', detail: 'the last day lies before the first, 2026-12-31' },
    ]);
  });

  it('make an old offer again to the cent, whatever was kept since', async () => {
    await put('/price-books/offers', FIRST);
    const id = await service().addSite({ ...garden(), id: 'offered', prices: 'offers' } as never);
    type Priced = { takeoff: { priceTotal: number; priceBook: object; lines: object[]; taxPct: number } };
    const plan = async () => (await service().json(`/ogc/sites/${id}/plan`)) as unknown as Priced;
    const offered = (await plan()).takeoff;
    expect(offered.priceBook).toEqual({ id: 'offers', version: 1, validFrom: '2026-01-01', validUntil: '2026-12-31' });
    await put('/price-books/offers', { ...FIRST, taxPct: 20, items: { ...FIRST.items, wire: '0.51' } });
    const ask = async (prices: string) => {
      const path = `/ogc/collections/sites/items/${id}`;
      const etag = (await service().request(path)).headers.get('etag') ?? '';
      const patch = { 'content-type': 'application/merge-patch+json', 'if-match': etag };
      const answer = await service().send('PATCH', path, { properties: { prices } }, patch);
      expect(answer.status).toBe(200);
      await service().settled();
      return (await plan()).takeoff;
    };
    const dearer = await ask('offers@2');
    expect(dearer.taxPct).toBe(20);
    expect(dearer.priceTotal).toBeGreaterThan(offered.priceTotal);
    await service().send('DELETE', '/ogc/price-books/offers');
    expect(await ask('offers@1')).toEqual(offered);
  });
});
