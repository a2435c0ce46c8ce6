import { EN } from '#geo-core/wording/en.ts';
import type { Words } from './words.ts';

/** A line of the built-in take-off in the words of the page, with what is said behind it (`, 250 m`); a firm's own lines in the firm's words. */
export function itemWord(code: string, what: string, { say, knows }: Words): string {
  const english: Readonly<Record<string, string>> = EN;
  const key = `item.${code}`;
  const start = english[key];
  return knows(key) && start !== undefined && what.startsWith(start) ? `${say(key)}${what.slice(start.length)}` : what;
}
