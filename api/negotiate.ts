type Wish = { readonly range: string; readonly quality: number };

/**
 * The first of `offers` (media types, best first) that an Accept header likes best (RFC 9110 section 12.5.1); undefined where it
 * likes none. Without a header the first offer.
 */
export function negotiate(accept: string | undefined, offers: readonly string[]): string | undefined {
  if (accept === undefined || accept.trim() === '') return offers[0];
  const wishes = accept.split(',').map(wishOf);
  let best: { readonly offer: string; readonly quality: number } | undefined;
  for (const offer of offers) {
    const quality = qualityOf(offer, wishes);
    if (quality > 0 && (best === undefined || quality > best.quality)) best = { offer, quality };
  }
  return best?.offer;
}

function wishOf(part: string): Wish {
  const [range, ...parameters] = part.split(';').map((text) => text.trim().toLowerCase());
  const quality = parameters.find((parameter) => parameter.startsWith('q='));
  return { range, quality: quality === undefined ? 1 : Number(quality.slice(2)) || 0 };
}

/** The most exact range that covers the offer decides. */
function qualityOf(offer: string, wishes: readonly Wish[]): number {
  const bare = offer.split(';')[0];
  for (const range of [bare, `${bare.split('/')[0]}/*`, '*/*']) {
    const wish = wishes.find((candidate) => candidate.range === range);
    if (wish !== undefined) return wish.quality;
  }
  return 0;
}
