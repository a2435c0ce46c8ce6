import { chosenOffer, type Exchange, HTML_OFFER, type Offer } from './exchange.ts';
import { type Link, selfLinks } from './links.ts';
import { PAGE_POLICY, page } from './page.ts';

export type Document = {
  readonly title: string;
  readonly description?: string;
  /** Links beside those to itself. */
  readonly links?: readonly Link[];
  /** The members of the JSON form beside its links. */
  readonly json: object;
  /** HTML of the form for people, made of escaped text. */
  readonly html: string;
  readonly mediaType?: string;
  readonly headers?: Readonly<Record<string, string>>;
  /** JSON Schemas and the like hold no links. */
  readonly withoutLinks?: true;
};

/** A resource in JSON or as a page, whichever the caller likes better. */
export function answerDocument(exchange: Exchange, document: Document): Response {
  const { title, description, links = [], json, html, mediaType = 'application/json', headers = {} } = document;
  const jsonOffer: Offer = { id: 'json', mediaType, also: ['application/json'] };
  const offers = [jsonOffer, HTML_OFFER];
  const chosen = chosenOffer(exchange, offers);
  const all = [...selfLinks(exchange, chosen, offers), ...links];
  if (chosen.id === 'html')
    return htmlResponse(page({ title, description, links: all, body: html, root: exchange.root }));
  const body = document.withoutLinks ? json : { ...json, links: all };
  return new Response(JSON.stringify(body), {
    headers: {
      'content-type': mediaType,
      vary: 'Accept, Authorization',
      'cache-control': 'private, no-cache',
      ...headers,
    },
  });
}

export function htmlResponse(html: string, headers: Readonly<Record<string, string>> = {}): Response {
  return new Response(html, {
    headers: {
      'content-type': 'text/html; charset=utf-8',
      'content-security-policy': PAGE_POLICY,
      vary: 'Accept, Authorization',
      'cache-control': 'private, no-cache',
      ...headers,
    },
  });
}
