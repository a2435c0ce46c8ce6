import { addKey } from './command-line/add-key.ts';

try {
  process.exitCode = await addKey(process.argv.slice(2), process.env, (text) => process.stdout.write(text));
} catch (error) {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exitCode = 2;
}
