import { z } from 'zod';
import { nounOf } from './noun-of.ts';

type RawIssue = Parameters<NonNullable<ReturnType<typeof z.config>['customError']>>[0];

const WANTED: Readonly<Record<string, string>> = {
  array: 'a list',
  int: 'a whole number',
  number: 'a number',
  object: 'an object',
  record: 'an object',
  string: 'text',
};

/** What is wrong with a value, in the words of the other problems; undefined leaves it to the schema's own message. */
function sentenceOf(issue: RawIssue): string | undefined {
  const given = `this is ${nounOf(issue.input)}`;
  switch (issue.code) {
    case 'invalid_type':
      return `${WANTED[issue.expected] ?? issue.expected} is wanted, ${given}`;
    case 'invalid_value':
      return `one of ${issue.values.join(', ')} is wanted, ${given}`;
    case 'too_small':
      return `${boundOf(issue.origin, issue.minimum, 'or more')} wanted, ${sizeOf(issue.input)}`;
    case 'too_big':
      return `${boundOf(issue.origin, issue.maximum, 'or less')} wanted, ${sizeOf(issue.input)}`;
    default:
      return undefined;
  }
}

function boundOf(origin: string, bound: number | bigint, words: string): string {
  if (origin === 'string') return `${bound} characters ${words} are`;
  return origin === 'array' ? `${bound} entries ${words} are` : `a number of ${bound} ${words} is`;
}

function sizeOf(input: unknown): string {
  return typeof input === 'string' || Array.isArray(input) ? `this has ${input.length}` : `this is ${nounOf(input)}`;
}

// The schemas run in browsers under a content security policy without 'unsafe-eval': no generated code.
z.config({ jitless: true, customError: sentenceOf });

export { z };
