import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { CONFORMANCE } from '#api/ogc/conformance.ts';

/** `docs/conformance.md` is written from the names of the tests that carry a requirement (`BLESS=1` writes it anew). */
const PAGE = new URL('../../docs/conformance.md', import.meta.url);
const FOLDER = new URL('./', import.meta.url);

type Proof = { readonly requirement: string; readonly file: string; readonly title: string };

/** "/req/core/pl-limit-response, pl-links: comes in pages" -> two requirements of one class, one test. */
function proofsIn(file: string): Proof[] {
  const text = readFileSync(new URL(file, FOLDER), 'utf8');
  return [...text.matchAll(/\bit(?:\.each\([\s\S]*?\))?\(\s*'(\/(?:req|rec|per)\/[\w-][^']*?): ([^']*)'/g)].flatMap(
    ([, named, title]) => {
      let requirementClass = '';
      return named.split(', ').map((part) => {
        const full = /^(\/(?:req|rec|per)\/[\w-]+)\/(.+)$/.exec(part);
        if (full !== null) requirementClass = full[1];
        return { requirement: part.startsWith('/') ? part : `${requirementClass}/${part}`, file, title };
      });
    },
  );
}

function standardOf(file: string): string {
  const [, said] =
    /^\/\*\* (OGC .*?)(?: Names of tests|: |\. |\.? \*\/)/m.exec(readFileSync(new URL(file, FOLDER), 'utf8')) ?? [];
  return said ?? 'OGC API';
}

const files = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.test.ts'))
  .toSorted();
const proofs = files.map((file) => ({ file, standard: standardOf(file), proofs: proofsIn(file) }));
const table = (rows: readonly Proof[]) =>
  rows.map(({ requirement, title }) => `| \`${requirement}\` | ${title.replaceAll('|', '\\|')} |`).join('\n');

const page = `# What is proven of the standards

Every row is a test that CI runs; a test that fails stops the release, so all of them pass in what you read here. The table is written from the names of the tests, and a test
holds it against them. Beside these, every answer in \`tests/ogc\` is held against the service's own API document. The official suites of the OGC have not been run.

## Declared (\`/ogc/conformance\`)

${CONFORMANCE.map((uri) => `- ${uri}`).join('\n')}
${proofs
  .filter(({ proofs: rows }) => rows.length > 0)
  .map(
    ({ file, standard, proofs: rows }) =>
      `\n## ${standard}\n\n\`tests/ogc/${file}\`\n\n| requirement | proven |\n| --- | --- |\n${table(rows)}\n`,
  )
  .join('')}`;

describe('the page on conformance', () => {
  it('tells every requirement that a test carries, and no other', () => {
    if (process.env.BLESS === '1') writeFileSync(PAGE, page);
    const written = readFileSync(PAGE, 'utf8');
    const cells = (text: string) =>
      [...text.matchAll(/^\| *`(\/[^`]+)` *\| *(.*?) *\|$/gm)].map(([, a, b]) => `${a} ${b}`);
    expect(cells(written)).toEqual(cells(page));
    expect(cells(page).length).toBeGreaterThan(50);
    for (const uri of CONFORMANCE) expect(written).toContain(`- ${uri}`);
  });
});
