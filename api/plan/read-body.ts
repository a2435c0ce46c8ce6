import { HttpProblem } from '#api/problems.ts';

/** Whoever sends slower keeps a connection busy for nothing. */
const BODY_MS_MAX = 300_000;
const DECOMPRESSIONS = ['gzip', 'deflate'] as const;

/**
 * The body of a request, decompressed, as it streams in: stops reading at `bytesMax` bytes, so that neither a long body nor one
 * that swells fills the memory.
 */
export async function readBody(request: Request, bytesMax: number): Promise<Uint8Array<ArrayBuffer>> {
  const stream = decompressed(request);
  if (stream === null) return new Uint8Array(0);
  const encoding = request.headers.get('content-encoding');
  const chunks: Uint8Array[] = [];
  let length = 0;
  const reader = stream.getReader();
  let isLate = false;
  const timer = setTimeout(() => {
    isLate = true;
    void reader.cancel().catch(() => undefined);
  }, BODY_MS_MAX);
  try {
    for (let read = await reader.read(); !read.done; read = await reader.read()) {
      length += read.value.length;
      if (length > bytesMax) throw tooLarge(bytesMax, encoding);
      chunks.push(read.value);
    }
    if (isLate) throw tooSlow();
  } catch (error) {
    await reader.cancel().catch(() => undefined);
    if (error instanceof HttpProblem) throw error;
    throw new HttpProblem({
      code: 'invalid-body',
      detail: encoding === null ? 'the body broke off' : `the body is not whole ${encoding}, as Content-Encoding says`,
    });
  } finally {
    clearTimeout(timer);
  }
  return joined(chunks, length);
}

/** The body as it streams in, decompressed; null where there is none. Throws 415 for an encoding that is not read here. */
export function decompressed(request: Request): ReadableStream<Uint8Array<ArrayBuffer>> | null {
  const encoding = request.headers.get('content-encoding')?.trim().toLowerCase() ?? 'identity';
  if (request.body === null || encoding === 'identity') return request.body;
  const known = DECOMPRESSIONS.find((name) => name === encoding || `x-${name}` === encoding);
  if (known !== undefined) return request.body.pipeThrough(new DecompressionStream(known));
  throw new HttpProblem({
    code: 'unsupported-media-type',
    detail: `Content-Encoding "${encoding.slice(0, 40)}" is not read here: send the body as it is, or in gzip or deflate`,
    headers: { 'accept-encoding': DECOMPRESSIONS.join(', ') },
  });
}

function tooLarge(bytesMax: number, encoding: string | null): HttpProblem {
  const packed = encoding === null ? '' : ' after decompression';
  return new HttpProblem({
    code: 'too-large',
    detail: `the body is larger than ${bytesMax} bytes${packed} (LOOPWRIGHT_BODY_MAX_MB): leave out what is not this property, or send a coarser grid`,
  });
}

function tooSlow(): HttpProblem {
  const detail = `the body did not come within ${BODY_MS_MAX / 1000} s: send it packed (Content-Encoding: gzip) or in parts`;
  return new HttpProblem({ code: 'invalid-body', detail });
}

function joined(chunks: readonly Uint8Array[], length: number): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(length);
  let at = 0;
  for (const chunk of chunks) {
    bytes.set(chunk, at);
    at += chunk.length;
  }
  return bytes;
}
