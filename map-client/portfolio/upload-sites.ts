import { askService, ServiceProblem } from '../kept/ask-service.ts';

/** How far an upload is. */
export type UploadState = {
  readonly fileName: string;
  readonly readBytes: number;
  readonly allBytes: number;
  readonly kept: number;
  readonly refusedCount: number;
  /** The first of them. */
  readonly refused: readonly { readonly line: number; readonly why: string }[];
  readonly done: boolean;
};

const SENT_AT_ONCE = 3;
const REFUSED_LISTED = 100;
const RECORD_SEPARATOR = '\u001e';

/**
 * Keeps every site of a file with the service: one site a line (newline-delimited GeoJSON, or GeoJSON-Seq, RFC 8142), or one site in
 * all. A site that is refused is told with its line; the others go on. Stops where the service wants a key or cannot be reached.
 */
export async function uploadSites(file: File, told: (state: UploadState) => void, signal: AbortSignal): Promise<void> {
  let state: UploadState = {
    fileName: file.name,
    readBytes: 0,
    allBytes: file.size,
    kept: 0,
    refusedCount: 0,
    refused: [],
    done: false,
  };
  const tell = (change: Partial<UploadState>): void => {
    state = { ...state, ...change };
    told(state);
  };
  const running = new Set<Promise<void>>();
  for await (const { text, line, readBytes } of sitesOf(file)) {
    signal.throwIfAborted();
    const sent = send(text, signal).then((why) => {
      running.delete(sent);
      if (why === undefined) tell({ kept: state.kept + 1 });
      else {
        const refused = [...state.refused, { line, why }].slice(0, REFUSED_LISTED);
        tell({ refusedCount: state.refusedCount + 1, refused });
      }
    });
    running.add(sent);
    tell({ readBytes });
    if (running.size >= SENT_AT_ONCE) await Promise.race(running);
  }
  await Promise.all(running);
  tell({ readBytes: file.size, done: true });
}

/** Why a site was refused; undefined where it is kept. */
async function send(body: string, signal: AbortSignal): Promise<string | undefined> {
  const headers = { 'content-type': 'application/geo+json' };
  try {
    await askService('collections/sites/items', { method: 'POST', headers, body, signal });
    return undefined;
  } catch (error) {
    const isAboutTheSite = error instanceof ServiceProblem && [400, 409, 413, 415, 422].includes(error.status);
    if (isAboutTheSite) return error.message;
    throw error;
  }
}

async function* sitesOf(file: File): AsyncGenerator<{ text: string; line: number; readBytes: number }> {
  const start = (await file.slice(0, 4096).text()).trimStart();
  const firstLine = start.split('\n')[0].replace(RECORD_SEPARATOR, '');
  if (!start.startsWith(RECORD_SEPARATOR) && !isWhole(firstLine) && file.size < 64 * 1024 * 1024) {
    yield { text: await file.text(), line: 1, readBytes: file.size };
    return;
  }
  let [rest, line, readBytes] = ['', 0, 0];
  const reader = file.stream().getReader();
  const decoder = new TextDecoder();
  for (let read = await reader.read(); !read.done; read = await reader.read()) {
    readBytes += read.value.length;
    const lines = (rest + decoder.decode(read.value, { stream: true })).split('\n');
    rest = lines.pop() ?? '';
    for (const text of lines) {
      line++;
      if (clean(text) !== '') yield { text: clean(text), line, readBytes };
    }
  }
  if (clean(rest) !== '') yield { text: clean(rest), line: line + 1, readBytes };
}

function clean(text: string): string {
  return text.replaceAll(RECORD_SEPARATOR, '').trim();
}

/** A line that is a JSON text by itself, as far as it was read. */
function isWhole(line: string): boolean {
  try {
    JSON.parse(line);
    return true;
  } catch {
    return line.length >= 4_000;
  }
}
