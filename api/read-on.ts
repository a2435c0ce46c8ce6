import type { IncomingMessage } from 'node:http';

const BYTES_MAX = 64 * 1024 * 1024;
const WAIT_MS = 1_000;

/**
 * Reads a body to its end and throws it away, so that a sender who listens only when all is sent hears why it was refused (RFC 9112,
 * 9.6). False where it gave up on a long or slow one: the connection cannot carry another request.
 */
export function readOn(incoming: IncomingMessage | undefined): Promise<boolean> {
  if (incoming === undefined || incoming.complete) return Promise.resolve(true);
  if (incoming.destroyed) return Promise.resolve(false);
  return new Promise((resolve) => {
    let bytes = 0;
    const stop = () => {
      clearTimeout(timer);
      incoming.off('data', count).off('end', stop).off('close', stop);
      resolve(incoming.complete);
    };
    const count = (chunk: Uint8Array) => {
      bytes += chunk.length;
      if (bytes > BYTES_MAX) stop();
    };
    const timer = setTimeout(stop, WAIT_MS);
    // Whoever read so far has given up, and would only hold the rest back.
    incoming.removeAllListeners('data').on('data', count).on('end', stop).on('close', stop);
    incoming.resume();
  });
}
