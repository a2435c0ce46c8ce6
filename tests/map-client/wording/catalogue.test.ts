import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseSync } from 'vite';
import { describe, expect, it } from 'vitest';
import { FORMATS, PAPERS } from '#geo-core/index.ts';
import { EN as PAPERS_EN } from '#geo-core/wording/en.ts';
import { handOverTitles } from '#map-client/hand-over-titles.ts';
import { DE } from '#map-client/wording/de.ts';
import { EN, type PageKey, type PageMessages } from '#map-client/wording/en.ts';
import { FR } from '#map-client/wording/fr.ts';
import { NL } from '#map-client/wording/nl.ts';
import { SV } from '#map-client/wording/sv.ts';
import { LANGUAGES, languageOf, loadWords } from '#map-client/wording/words.ts';

const CLIENT = fileURLToPath(new URL('../../../map-client/', import.meta.url));
const OTHERS: Readonly<Record<string, PageMessages>> = { de: DE, fr: FR, sv: SV, nl: NL };

const keys = Object.keys(EN) as PageKey[];
const namesIn = (message: string) => [...message.matchAll(/\{(\w+)/g)].map(([, name]) => name);

/** Words of code, not of people: chains of node kinds in which text is never shown. */
const SILENT = new Set([
  'ImportDeclaration',
  'ExportNamedDeclaration:source',
  'TSLiteralType',
  'TSTypeAliasDeclaration',
]);
/** Of style sheets, and our own name. */
const SAME_EVERYWHERE = /^(\(prefers-.*|Loopwright)$/;
/** Two words with a space between. */
const LIKE_TEXT = /[A-Za-zÀ-ž]{2,}[,:;]? [A-Za-zÀ-ž]{2,}/;

type AstNode = { readonly type: string; readonly [name: string]: unknown };
const isNode = (value: unknown): value is AstNode =>
  typeof value === 'object' && value !== null && 'type' in value && typeof value.type === 'string';

/** Text that people would read, in one file: in markup between tags and in names for assistive technology, else sentences in plain strings. */
function textIn(node: AstNode, found: string[], thrown: boolean): string[] {
  if (SILENT.has(node.type)) return found;
  const inThrow = thrown || node.type === 'ThrowStatement';
  if (node.type === 'TaggedTemplateExpression' && isNode(node.quasi)) {
    const quasis = node.quasi.quasis as readonly { value: { cooked: string } }[];
    const markup = quasis.map(({ value }) => value.cooked).join('\uE000');
    const shown = markup.replace(/<!--.*?-->/gs, '').replace(/<[^>]*>/g, '\uE000');
    found.push(
      ...shown.split('\uE000').filter((piece) => /[A-Za-zÀ-ž]{2,}/.test(piece) && !/^[\w"-]+[=>]/.test(piece)),
    );
    found.push(
      ...[...markup.matchAll(/(?:aria-label|title|placeholder|alt)="([^"\uE000]+)"/g)].map(([, words]) => words),
    );
  } else if (node.type === 'TemplateLiteral' && !inThrow) {
    const quasis = node.quasis as readonly { value: { cooked: string } }[];
    found.push(...quasis.map(({ value }) => value.cooked).filter((words) => LIKE_TEXT.test(words)));
  } else if (node.type === 'Literal' && typeof node.value === 'string' && !inThrow && LIKE_TEXT.test(node.value)) {
    found.push(node.value);
  }
  for (const child of Object.values(node)) {
    for (const each of Array.isArray(child) ? child : [child]) {
      if (!isNode(each)) continue;
      if (node.type === 'TaggedTemplateExpression' && each === node.quasi) {
        for (const inner of each.expressions as readonly AstNode[]) textIn(inner, found, inThrow);
      } else textIn(each, found, inThrow);
    }
  }
  return found;
}

const textOf = (name: string, source: string) =>
  textIn(parseSync(name, source).program as unknown as AstNode, [], false)
    .map((words) => words.trim())
    .filter((words) => !SAME_EVERYWHERE.test(words));

describe('the words of the pages', () => {
  it('are there in every language, with the same figures and names in each', () => {
    for (const [language, messages] of Object.entries(OTHERS)) {
      for (const key of keys) {
        expect(messages[key], `${language} ${key}`).toMatch(/\S/);
        expect(new Set(namesIn(messages[key])), `${language} ${key}`).toEqual(new Set(namesIn(EN[key])));
      }
    }
  });

  it('share no key with the words of the papers: one catalogue, each key once', () => {
    expect(keys.filter((key) => Object.hasOwn(PAPERS_EN, key))).toEqual([]);
  });

  it('are translated: what reads the same as in English is a single word or a name', () => {
    for (const [language, messages] of Object.entries(OTHERS)) {
      const same = keys.filter(
        (key) => messages[key] === EN[key] && LIKE_TEXT.test(messages[key].replace(/\{[^}]*\}/g, '')),
      );
      expect(same, language).toEqual([]);
    }
  });

  it('stand nowhere in the code beside the catalogue', () => {
    const files = readdirSync(CLIENT, { recursive: true, encoding: 'utf8' }).filter(
      (name) => name.endsWith('.ts') && !/^(dist|wording|node_modules)\//.test(name) && !name.startsWith('vite'),
    );
    expect(files.length).toBeGreaterThan(60);
    const found = files.flatMap((name) =>
      textOf(name, readFileSync(join(CLIENT, name), 'utf8')).map((words) => `${name}: ${words}`),
    );
    expect(found).toEqual([]);
  });

  it('would be found there by the test before', () => {
    const hole = '$' + '{b}';
    const source = `const a = html\`<p aria-label="Two words">Lawn ${hole}</p>\`; const c = \`not done: ${hole}, try again\`;`;
    expect(textOf('some.ts', source)).toEqual(['Lawn', 'Two words', 'not done:', ', try again']);
  });

  it('that a page has from the start are the English of the catalogue', () => {
    for (const page of ['index.html', 'portfolio.html']) {
      const markup = readFileSync(join(CLIENT, page), 'utf8');
      const said = [...markup.matchAll(/data-say="([^"]+)"[^>]*>([^<]*)</g)].map(([, key, words]) => [key, words]);
      const named = [...markup.matchAll(/aria-label="([^"]+)" data-say-label="([^"]+)"/g)].map(([, words, key]) => [
        key,
        words,
      ]);
      expect(said.length + named.length).toBeGreaterThanOrEqual(4);
      for (const [key, words] of [...said, ...named]) expect(EN[key as PageKey], key).toBe(words);
    }
  });
});

describe('the style of the pages', () => {
  it('knows start and end of a line, never left and right: another direction of writing turns it round', () => {
    const folder = join(CLIENT, 'style');
    const physical = readdirSync(folder).flatMap((name) =>
      readFileSync(join(folder, name), 'utf8')
        .split('\n')
        .filter((line) => /(?:^\s*|-)(?:left|right)\s*:|(?:-|: )(?:left|right)\s*;/.test(line))
        .map((line) => `${name}: ${line.trim()}`),
    );
    expect(physical).toEqual([]);
  });
});

describe('words', () => {
  it('agree with their number by the rules of the language (CLDR plural rules): nought is one in French, many in German', async () => {
    const said = async (locale: string, n: number) => (await loadWords(locale)).say('find.count', { n });
    expect(await said('en', 1)).toBe('1 finding');
    expect(await said('en', 0)).toBe('0 findings');
    expect(await said('fr', 0)).toBe('0 remarque');
    expect(await said('de', 0)).toBe('0 Hinweise');
    expect(await said('de', 1200)).toBe('1.200 Hinweise');
  });

  it('say none in words where that reads better, and the word alone where the number is said elsewhere', async () => {
    const { say } = await loadWords('en-GB');
    expect(say('did.loops', { loops: 0, bays: 1 })).toBe('no keep-out loops, 1 bay in the boundary wire.');
    expect(say('did.bumps', { n: 1 })).toBe('1 thing stands a bump and needs no wire.');
    expect(say('did.bumps', { n: 2 })).toBe('2 things stand a bump and need no wire.');
  });

  it('fall back to English where the pages do not speak the language', async () => {
    expect(languageOf('pt-BR')).toBeUndefined();
    expect((await loadWords('pt-BR')).language).toBe('en');
    expect((await loadWords('de-AT')).locale).toBe('de-AT');
  });

  it('know what a plan can be handed over as, in every language', async () => {
    for (const language of LANGUAGES) {
      const titles = handOverTitles(await loadWords(language));
      expect(titles).toHaveLength(FORMATS.length + 2 * PAPERS.length);
      expect(new Set(titles.map(({ title }) => title)).size).toBe(titles.length);
      for (const { id } of FORMATS) expect(Object.hasOwn(EN, `format.${id}`), id).toBe(true);
    }
  });
});
