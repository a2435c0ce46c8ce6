import { describe, expect, it } from 'vitest';
import { readJson } from '#api/plan/read-json.ts';

const bytes = (text: string) => new TextEncoder().encode(text);

describe('read json', () => {
  it('reads UTF-8, with or without a byte order mark', () => {
    expect(readJson(bytes('{"name": "Gärten"}'), 64)).toEqual({ json: { name: 'Gärten' } });
    expect(readJson(bytes('\uFEFF[1]'), 64)).toEqual({ json: [1] });
  });

  it('counts brackets that nest, not those in texts', () => {
    expect(readJson(bytes('[[[]]]'), 3)).toEqual({ json: [[[]]] });
    expect(readJson(bytes('[[[[]]]]'), 3)).toHaveProperty(
      'detail',
      expect.stringContaining('more than 3 deep at byte 3'),
    );
    expect(readJson(bytes('[[1], [2], {"a": {}}]'), 3)).toHaveProperty('json');
    expect(readJson(bytes('["[[[[", "\\"[[[[", "\\\\"]'), 1)).toEqual({ json: ['[[[[', '"[[[[', '\\'] });
  });

  it.each([
    ['nothing', bytes(''), 'empty'],
    ['half a document', bytes('{"type": "Feat'), 'JSON'],
    ['two documents', bytes('{} {}'), 'JSON'],
    ['NaN', bytes('{"a": NaN}'), 'JSON'],
    ['Latin-1', Uint8Array.of(0x22, 0xe4, 0x22), 'UTF-8'],
    ['UTF-16', Uint8Array.of(0xff, 0xfe, 0x7b, 0, 0x7d, 0), 'UTF-8'],
  ])('refuses %s and says why', (_what, body, why) => {
    expect(readJson(body, 64)).toEqual({ detail: expect.stringContaining(why) });
  });
});
