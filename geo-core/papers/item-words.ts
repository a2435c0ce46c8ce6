import { EN, type MessageKey } from '#geo-core/wording/en.ts';
import type { Wording } from '#geo-core/wording/wording.ts';

/** Lines of the built-in take-off in the paper's language, with what is said behind (`, 250 m`); a firm's own lines in the firm's words. */
export function itemName(code: string, what: string, { say }: Wording): string {
  const key = `item.${code}`;
  return isMessage(key) && what.startsWith(EN[key]) ? `${say(key)}${what.slice(EN[key].length)}` : what;
}

export function unitName(unit: string, { say }: Wording): string {
  const key = `unit.${unit}`;
  return isMessage(key) ? say(key) : unit;
}

export function isMessage(key: string): key is MessageKey {
  return Object.hasOwn(EN, key);
}
