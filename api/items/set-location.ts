import type { Context } from 'hono';
import type { AppEnv } from '#api/app.ts';

/**
 * Says where the new thing is. Some desktop clients look for `Location` with a capital L, which a Fetch response cannot keep: behind
 * a socket the header goes to Node's own response.
 */
export function setLocation(c: Context<AppEnv>, answer: Response, location: string): void {
  const { outgoing } = c.env ?? {};
  if (outgoing === undefined) answer.headers.set('location', location);
  else outgoing.setHeader('Location', location);
}
