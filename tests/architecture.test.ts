import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { STAGE_IDS } from '#geo-core/index.ts';

/** The house as DEVELOPERS.md draws it: each rule names whatever breaks it. */
const root = new URL('..', import.meta.url).pathname;
const IGNORED = new Set(['node_modules', '.tsbuild', 'dist', '.git', 'shots']);

function filesUnder(folder: string): string[] {
  return readdirSync(join(root, folder), { withFileTypes: true }).flatMap((entry) => {
    if (IGNORED.has(entry.name)) return [];
    const path = join(folder, entry.name);
    return entry.isDirectory() ? filesUnder(path) : [path];
  });
}

const sources = (folder: string) =>
  filesUnder(folder).filter((path) => /\.tsx?$/.test(path) && !path.endsWith('.d.ts'));
const text = (path: string) => readFileSync(join(root, path), 'utf8');
/** What a file imports or re-exports: specifiers as written. */
const importsOf = (path: string) =>
  [...text(path).matchAll(/(?:from|import)\s+'([^']+)'|import\('([^']+)'\)/g)].map(([, a, b]) => a ?? b);

function offenders(folder: string, isForbidden: (specifier: string, path: string) => boolean): string[] {
  return sources(folder).flatMap((path) =>
    importsOf(path)
      .filter((specifier) => isForbidden(specifier, path))
      .map((specifier) => `${path} imports ${specifier}`),
  );
}

describe('the house', () => {
  it('has five rooms and its papers, and no other folder at the top', () => {
    const folders = readdirSync(root, { withFileTypes: true })
      .filter((entry) => entry.isDirectory() && !entry.name.startsWith('.') && !IGNORED.has(entry.name))
      .map((entry) => entry.name);
    expect(folders.toSorted()).toEqual(['api', 'docs', 'fixtures', 'geo-core', 'map-client', 'tests']);
  });

  it('keeps the core to itself: no Node, no service, no client', () => {
    expect(offenders('geo-core', (specifier) => /^(node:|#api|#map-client|hono|maplibre)/.test(specifier))).toEqual([]);
  });

  it('lets the service and the client in by one door, and to the nouns; the client to the words of each language too', () => {
    const isOutside = (specifier: string) =>
      specifier.startsWith('#geo-core/') && !/^#geo-core\/(index\.ts|model\/[a-z-]+\.ts)$/.test(specifier);
    const isOutsideWords = (specifier: string) =>
      isOutside(specifier) && !/^#geo-core\/wording\/[a-z]{2}\.ts$/.test(specifier);
    expect([...offenders('api', isOutside), ...offenders('map-client', isOutsideWords)]).toEqual([]);
  });

  it('lets the client take nothing but the contract from the service', () => {
    expect(offenders('map-client', (s) => s.startsWith('#api/') && !s.startsWith('#api/contract/'))).toEqual([]);
  });

  it('keeps the contract fit for a browser', () => {
    expect(offenders('api/contract', (s) => /^node:/.test(s) || /^#api\/(?!contract\/)/.test(s))).toEqual([]);
  });

  it('lets nobody import tests', () => {
    for (const room of ['geo-core', 'api', 'map-client']) {
      expect(offenders(room, (s) => /(^|\/)tests\//.test(s))).toEqual([]);
    }
  });

  it('imports the polygon kernel library in one file', () => {
    const users = ['geo-core', 'api'].flatMap((room) => offenders(room, (s) => s === 'clipper2-wasm'));
    expect(users).toEqual(['geo-core/plane/kernel.ts imports clipper2-wasm']);
  });
});

describe('the stages', () => {
  const files = filesUnder('geo-core/stages').map((path) => path.replace('geo-core/stages/', ''));

  it('are one file each, listed in order, and nothing else lies beside them', () => {
    expect(files.toSorted()).toEqual(STAGE_IDS.map((id) => `${id}.ts`));
  });

  it.each([...STAGE_IDS])('%s exports one function of its own name', (id) => {
    const functions = [...text(`geo-core/stages/${id}.ts`).matchAll(/^export (?:async )?function (\w+)/gm)].map(
      ([, name]) => name,
    );
    const own = id.slice(3).replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());
    expect(functions).toEqual([own]);
  });

  it.each([...STAGE_IDS])('%s has a test of its own name', (id) => {
    expect(statSync(join(root, `tests/geo-core/stages/${id}.test.ts`)).isFile()).toBe(true);
  });

  it.each([...STAGE_IDS])('%s has a layer of its own name on the map', (id) => {
    expect(statSync(join(root, `map-client/layers/${id}.ts`)).isFile()).toBe(true);
  });

  it('never import each other: only the table of contents does', () => {
    const users = sources('geo-core').filter((path) => importsOf(path).some((s) => /\/stages\//.test(s)));
    expect(users).toEqual(['geo-core/plan-site.ts']);
  });

  it('are called by a table of contents that does no arithmetic', () => {
    const body = text('geo-core/plan-site.ts').replace(/\/\*[\s\S]*?\*\//g, '');
    expect(body).not.toMatch(/[^=!<>]\s[-+*/]\s|Math\./);
  });
});

describe('the registries', () => {
  it('list every format beside them', () => {
    const registry = text('geo-core/formats/formats.ts');
    const formats = filesUnder('geo-core/formats')
      .filter((path) => /^export const \w+: PlanFormat\b/m.test(text(path)))
      .map((path) => path.replace('geo-core/formats/', './'));
    expect(formats.length).toBeGreaterThan(4);
    for (const file of formats) expect(registry).toContain(`'${file}'`);
  });

  it('list every format that takes a library of Node', () => {
    const registry = text('api/formats/file-formats.ts');
    const formats = filesUnder('api/formats').filter((path) => /^export const \w+: FileFormat\b/m.test(text(path)));
    expect(formats.length).toBeGreaterThan(1);
    for (const path of formats) expect(registry).toContain(`'${path.replace('api/formats/', './')}'`);
  });

  it('list every building block of the service', () => {
    const registry = text('api/modules.ts');
    const modules = filesUnder('api').filter((path) => path.endsWith('.module.ts'));
    expect(modules.length).toBeGreaterThan(2);
    for (const path of modules) expect(registry).toContain(`'./${path.replace('api/', '')}'`);
  });

  it('explain every fixture folder', () => {
    const readme = text('fixtures/README.md');
    for (const entry of readdirSync(join(root, 'fixtures'), { withFileTypes: true })) {
      if (entry.isDirectory()) expect(readme).toContain(`${entry.name}/`);
    }
  });
});

describe('the style', () => {
  const all = ['geo-core', 'api', 'map-client', 'tests']
    .flatMap(sources)
    .filter((path) => path !== 'tests/architecture.test.ts');

  it('leaves nothing to do, nothing unchecked and nothing switched off', () => {
    const marks = /\bTODO\b|\bFIXME\b|\bXXX\b|@ts-ignore|@ts-expect-error|biome-ignore|\bas any\b|: any\b|\.only\(/;
    expect(all.filter((path) => marks.test(text(path)))).toEqual([]);
  });

  it('plans with + - * / and square roots only, which every engine rounds alike', () => {
    const loose = /Math\.(hypot|pow|cbrt|a?(sin|cos|tan)h?|atan2|exp|expm1|log\w*)\b/;
    const code = (path: string) => text(path).replace(/\/\*[\s\S]*?\*\//g, '');
    // Files written from a plan and the search for a fault years later are no part of it.
    const beside = ['geo-core/formats/', 'geo-core/fault/', 'geo-core/papers/'];
    const planning = sources('geo-core').filter((path) => !beside.some((folder) => path.startsWith(folder)));
    expect(planning.filter((path) => loose.test(code(path)))).toEqual([]);
    expect(sources('geo-core/plane').filter((path) => code(path).includes('**'))).toEqual([]);
  });

  it('keeps a file short, or says at its top why it is long', () => {
    const sheets = readdirSync(join(root, 'map-client/style')).map((name) => `map-client/style/${name}`);
    const long = [...['geo-core', 'api', 'map-client', 'tests'].flatMap(sources), ...sheets].filter(
      (path) => text(path).split('\n').length > 350,
    );
    expect(long.filter((path) => !/[Ll]ong because/.test(text(path).slice(0, 1500)))).toEqual([]);
  });
});
