import { htmlResponse } from '#api/ogc/answer.ts';
import { chosenOffer, type Exchange, HTML_OFFER } from '#api/ogc/exchange.ts';
import { selfLinks } from '#api/ogc/links.ts';
import { page, table } from '#api/ogc/page.ts';
import type { Process } from './process.ts';
import type { KeptResult } from './run-process.ts';

const HEADERS = { vary: 'Accept, Authorization', 'cache-control': 'private, no-cache' };

/**
 * Outputs as asked for (OGC 18-062r2, 7.11.4): `raw` one output bare, several as multipart/related (RFC 2387), each under its id;
 * `document` all in one JSON object. Without a Link header: a suite of the standard takes any for the address of a job.
 */
export function answerResults(exchange: Exchange, process: Process, { response, outputs }: KeptResult): Response {
  const wanted = Object.entries(outputs).map(([id, value]) => ({ id, value, ...process.outputs[id] }));
  const also = ['multipart/related', ...wanted.map(({ mediaType }) => mediaType)];
  const offers = [{ id: 'json', mediaType: 'application/json', also }, HTML_OFFER];
  const chosen = chosenOffer(exchange, offers);
  if (chosen.id === 'html') {
    const rows = wanted.map(({ id, title, mediaType, value }) => [
      id,
      title,
      mediaType,
      writtenValue(mediaType, value),
    ]);
    const links = selfLinks(exchange, chosen, offers);
    const body = table(['output', 'what it is', 'media type', 'value'], rows);
    return htmlResponse(page({ title: `Results: ${process.title}`, links, root: exchange.root, body }));
  }
  if (response === 'document') {
    const document = wanted.map(({ id, mediaType, value }) => [
      id,
      typeof value === 'object' ? { value, mediaType } : value,
    ]);
    return answer('application/json', JSON.stringify(Object.fromEntries(document)));
  }
  if (wanted.length === 1) {
    const [{ mediaType, value }] = wanted;
    return answer(mediaType, writtenValue(mediaType, value));
  }
  const boundary = exchange.house.newId();
  const parts = wanted.map(
    ({ id, mediaType, value }) =>
      `--${boundary}\r\ncontent-type: ${mediaType}\r\ncontent-id: <${id}>\r\n\r\n${writtenValue(mediaType, value)}\r\n`,
  );
  return answer(
    `multipart/related; boundary=${boundary}; type="${wanted[0].mediaType}"`,
    `${parts.join('')}--${boundary}--\r\n`,
  );
}

function answer(contentType: string, body: string): Response {
  return new Response(body, { headers: { ...HEADERS, 'content-type': contentType } });
}

function writtenValue(mediaType: string, value: unknown): string {
  return mediaType === 'text/plain' && typeof value === 'string' ? value : JSON.stringify(value);
}
