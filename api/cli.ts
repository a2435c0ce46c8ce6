import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { runCommand } from './command-line/run-command.ts';

const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));

process.exitCode = await runCommand(process.argv.slice(2), {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
  isWatched: process.stderr.isTTY === true,
  cores: availableParallelism(),
  nowMs: () => performance.now(),
  version: String(version),
  environment: process.env,
});
