import type { Exchange, Offer } from './exchange.ts';

export type Link = {
  readonly rel: string;
  readonly href: string;
  readonly type?: string;
  readonly title?: string;
  readonly templated?: true;
};

/** Relations of OGC documents, https://www.opengis.net/def/rel/ogc/1.0. */
export const REL = 'http://www.opengis.net/def/rel/ogc/1.0';

/** This resource in the form chosen, and in every other. */
export function selfLinks(exchange: Pick<Exchange, 'here' | 'query'>, chosen: Offer, offers: readonly Offer[]): Link[] {
  return offers.map((offer) => ({
    rel: offer.id === chosen.id ? 'self' : 'alternate',
    href: addressOf(exchange, { f: offer.id }),
    type: offer.mediaType,
    title: offer.id === chosen.id ? 'this document' : `this document as ${offer.id}`,
  }));
}

/** The address of this resource with its query, some of it changed (undefined = left out). */
export function addressOf(
  { here, query }: Pick<Exchange, 'here' | 'query'>,
  changes: Readonly<Record<string, string | undefined>> = {},
): string {
  const wanted = new Map<string, string | undefined>([...query, ...Object.entries(changes)]);
  const parts = [...wanted].flatMap(([name, value]) =>
    value === undefined ? [] : [`${encodeURIComponent(name)}=${encodeURIComponent(value)}`],
  );
  return parts.length === 0 ? here : `${here}?${parts.join('&')}`;
}
