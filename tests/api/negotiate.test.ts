import { describe, expect, it } from 'vitest';
import { negotiate } from '#api/negotiate.ts';

const OFFERS = ['application/geo+json', 'text/csv; charset=utf-8', 'image/svg+xml'];

describe('negotiate', () => {
  it.each([
    [undefined, OFFERS[0]],
    ['', OFFERS[0]],
    ['*/*', OFFERS[0]],
    ['text/csv', OFFERS[1]],
    ['TEXT/CSV', OFFERS[1]],
    ['image/*', OFFERS[2]],
    ['application/geo+json;q=0.2, image/svg+xml;q=0.9', OFFERS[2]],
    ['*/*;q=0.1, text/csv;q=0.5', OFFERS[1]],
    ['*/*, application/geo+json;q=0', OFFERS[1]],
    ['text/html, application/xhtml+xml, */*;q=0.8', OFFERS[0]],
    ['audio/ogg', undefined],
    ['application/geo+json;q=0', undefined],
    ['application/geo+json;q=nonsense', undefined],
  ])('Accept: %s gives %s', (accept, offer) => {
    expect(negotiate(accept, OFFERS)).toBe(offer);
  });
});
