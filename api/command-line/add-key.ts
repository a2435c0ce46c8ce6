import { randomUUID } from 'node:crypto';
import { parseArgs } from 'node:util';
import { readConfig } from '#api/read-config.ts';
import { openStore } from '#api/store/open-store.ts';
import { SCOPES } from '#api/store/tenants.ts';

const HELP = `Makes a firm and its first key: everything else about keys is done over HTTP with that key.

  npm run key -- FIRM [--scopes ${SCOPES.join(',')}]

FIRM is an id of small letters, digits and hyphens. With SQLite the service must not run meanwhile.
`;
const FIRM = /^[a-z0-9-]{1,40}$/;

/** Makes a key for a firm, new or known, and prints its secret; returns the exit code. */
export async function addKey(
  args: readonly string[],
  environment: Readonly<Record<string, string | undefined>>,
  print: (text: string) => void,
): Promise<number> {
  const { values, positionals } = parseArgs({
    args: [...args],
    allowPositionals: true,
    options: { scopes: { type: 'string', default: SCOPES.join(',') } },
  });
  const [firm] = positionals;
  const wanted = values.scopes.split(',');
  const scopes = SCOPES.filter((scope) => wanted.includes(scope));
  if (firm === undefined || !FIRM.test(firm) || scopes.length !== wanted.length) {
    print(HELP);
    return 2;
  }
  const store = await openStore(readConfig(environment, 1).store, {
    now: () => new Date().toISOString(),
    newId: randomUUID,
    onLost: (error) => print(`${error.message}\n`),
  });
  try {
    await store.tenants.ensure(firm, firm);
    const { secret } = await store.tenants.addKey(firm, 'made on the command line', scopes, null);
    print(`${secret}\n`);
    return 0;
  } finally {
    await store.close();
  }
}
