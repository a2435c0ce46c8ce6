import { EN, type MessageKey } from '#geo-core/wording/en.ts';
import type { Wording } from '#geo-core/wording/wording.ts';

/** Lines of the built-in take-off in the paper's language; a firm's own lines in the firm's words. */
export function itemName(code: string, what: string, { say, language }: Wording): string {
  const key = `item.${code}`;
  return isMessage(key) && language !== 'en' && what === EN[key] ? say(key) : what;
}

export function unitName(unit: string, { say }: Wording): string {
  const key = `unit.${unit}`;
  return isMessage(key) ? say(key) : unit;
}

export function isMessage(key: string): key is MessageKey {
  return Object.hasOwn(EN, key);
}
