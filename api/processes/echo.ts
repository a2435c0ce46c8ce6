import { setTimeout as wait } from 'node:timers/promises';
import { z } from '#api/contract/zod.ts';
import { faultsBy, type Process } from './process.ts';

const PAUSE_MAX_S = 15;
const text = z.string().max(10_000);
const pause = z.int().min(0).max(PAUSE_MAX_S).describe('seconds to wait before answering');
const plain = { mediaTypes: ['text/plain', 'application/json'], maxOccurs: 1 };

/** Gives back what it is given, so that clients and the suites of standards can be tried: offered only where it is switched on. */
export const ECHO_PROCESS: Process = {
  id: 'echo',
  version: '1.0.0',
  title: 'Echo',
  description: 'Gives its inputs back, after a pause if one is asked for. For checking clients.',
  keywords: ['test'],
  inputs: {
    stringInput: {
      title: 'Text',
      description: 'any text',
      schema: text,
      faults: faultsBy(text),
      minOccurs: 1,
      ...plain,
    },
    pause: { title: 'Pause', description: 'seconds', schema: pause, faults: faultsBy(pause), minOccurs: 0, ...plain },
  },
  outputs: {
    stringInput: { title: 'Text', description: 'the text again', schema: text, mediaType: 'text/plain' },
    pause: { title: 'Pause', description: 'the seconds waited', schema: pause, mediaType: 'application/json' },
  },
  async run({ stringInput, pause: given }, { progress }) {
    const pauseS = pause.parse(given?.[0].value ?? 0);
    for (let passedS = 0; passedS < pauseS; passedS++) {
      await progress(Math.floor((100 * passedS) / pauseS), `${passedS} of ${pauseS} s`);
      await wait(1000);
    }
    return { stringInput: stringInput[0].value, pause: pauseS };
  },
};
