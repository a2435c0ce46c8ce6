/** `%` is any text, `_` any one character, a backslash takes either as it is (OGC 21-065r2, 7.1.1). */
export function likePattern(pattern: string): (text: string) => boolean {
  const parts: (string | '%' | '_')[] = [];
  const isWild: boolean[] = [];
  const characters = [...pattern];
  for (let i = 0; i < characters.length; i++) {
    const isEscape = characters[i] === '\\' && i + 1 < characters.length;
    if (isEscape) i++;
    parts.push(characters[i]);
    isWild.push(!isEscape && (characters[i] === '%' || characters[i] === '_'));
  }
  return (text) => matches([...text], parts, isWild);
}

/** Greedy matching that remembers only the last `%`: no pattern makes it slow. */
function matches(text: readonly string[], parts: readonly string[], isWild: readonly boolean[]): boolean {
  let [at, part, star, resume] = [0, 0, -1, 0];
  while (at < text.length) {
    if (part < parts.length && isWild[part] && parts[part] === '%') {
      star = part;
      resume = at;
      part += 1;
    } else if (part < parts.length && (isWild[part] ? parts[part] === '_' : parts[part] === text[at])) {
      part += 1;
      at += 1;
    } else if (star >= 0) {
      part = star + 1;
      resume += 1;
      at = resume;
    } else return false;
  }
  while (part < parts.length && isWild[part] && parts[part] === '%') part += 1;
  return part === parts.length;
}

/** Text without its case, or without its accents (Unicode: canonical decomposition, marks removed). */
export function plainText(text: string, without: 'casei' | 'accenti'): string {
  if (without === 'casei') return text.toLocaleLowerCase('und').replaceAll('ß', 'ss');
  return text.normalize('NFD').replace(/\p{M}/gu, '').normalize('NFC');
}
