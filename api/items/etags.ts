import { HttpProblem } from '#api/problems.ts';

/** Is one of the validators of an If-Match or If-None-Match header this one, or `*`? Forms of the same content (`x.html`) count as it. */
export function isMatch(header: string | undefined, etag: string): boolean {
  if (header === undefined) return false;
  return header.split(',').some((part) => {
    const tag = part.trim().replace(/^W\//, '');
    return tag === '*' || tag === `"${etag}"`;
  });
}

/** Throws 412 where the caller asks for content that is no longer (or not) there. */
export function checkIfMatch(header: string | undefined, digest: string | undefined): void {
  if (header === undefined) return;
  const tags = header.replace(/\.[\w.]+"/g, '"');
  if (digest !== undefined && isMatch(tags, digest)) return;
  throw new HttpProblem({
    code: 'precondition-failed',
    detail: 'this was changed since you read it: read it again, then write',
  });
}
