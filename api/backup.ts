import { backUp } from './command-line/back-up.ts';
import { giveUp } from './command-line/give-up.ts';

try {
  process.exitCode = backUp(process.argv.slice(2), process.env, (text) => process.stdout.write(text));
} catch (error) {
  giveUp(error);
}
