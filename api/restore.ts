import { giveUp } from './command-line/give-up.ts';
import { restore } from './command-line/restore.ts';

try {
  process.exitCode = restore(
    process.argv.slice(2),
    process.env,
    (text) => process.stdout.write(text),
    () => new Date(),
  );
} catch (error) {
  giveUp(error);
}
