import { addKey } from './command-line/add-key.ts';
import { giveUp } from './command-line/give-up.ts';

try {
  process.exitCode = await addKey(process.argv.slice(2), process.env, (text) => process.stdout.write(text));
} catch (error) {
  giveUp(error);
}
