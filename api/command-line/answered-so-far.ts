import { createReadStream } from 'node:fs';
import { count, newTally, type Outcome, type Tally } from '#api/stream/tally.ts';
import { isObject } from '#geo-core/model/is-object.ts';

/** What an interrupted run has left in its file. */
export type Answered = {
  readonly answers: number;
  /** Bytes of whole answers; what follows them is torn. */
  readonly bytes: number;
  /** What the last answer says of everything that was asked for up to it. */
  readonly chain: string | undefined;
  readonly tally: Tally;
  /** Whether it begins like a file of answers: anything else is somebody's and stays. */
  readonly isOurs: boolean;
};

const LINE_FEED = 0x0a;
const FIRST_WORDS = '{"type":"FeatureCollection"';
const RECORD_SEPARATOR = '\u001e';

/** Reads answers one by one up to the first that is not whole; undefined where there is no such file. Throws what the disk says. */
export async function answeredSoFar(path: string): Promise<Answered | undefined> {
  const tally = newTally();
  let [answers, bytes] = [0, 0];
  let chain: string | undefined;
  let parts: Buffer[] = [];
  let isOurs: boolean | undefined;
  try {
    for await (const chunk of createReadStream(path, { highWaterMark: 1 << 20 })) {
      const piece: Buffer = chunk;
      isOurs ??= beginsLikeAnswers(piece);
      let from = 0;
      for (let at = piece.indexOf(LINE_FEED); at >= 0; at = piece.indexOf(LINE_FEED, from)) {
        const line = Buffer.concat([...parts, piece.subarray(from, at + 1)]);
        const answer = readAnswer(line, answers);
        if (answer === undefined) return { answers, bytes, chain, tally, isOurs };
        count(tally, answer.outcome);
        chain = answer.chain;
        answers++;
        bytes += line.length;
        parts = [];
        from = at + 1;
      }
      parts.push(piece.subarray(from));
    }
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return undefined;
    throw error;
  }
  return { answers, bytes, chain, tally, isOurs: isOurs ?? true };
}

/** Of the first answer there may be only some bytes. */
function beginsLikeAnswers(chunk: Buffer): boolean {
  const text = chunk.subarray(0, FIRST_WORDS.length + 1).toString('utf8');
  const words = text.startsWith(RECORD_SEPARATOR) ? text.slice(1) : text;
  return words.startsWith(FIRST_WORDS) || FIRST_WORDS.startsWith(words);
}

/** Undefined where it is torn or not the answer with this number. */
function readAnswer(line: Buffer, record: number): { readonly outcome: Outcome; readonly chain: string } | undefined {
  const text = line.toString('utf8');
  let json: unknown;
  try {
    json = JSON.parse(text.startsWith(RECORD_SEPARATOR) ? text.slice(1) : text);
  } catch {
    // A torn line is what this looks for.
    return undefined;
  }
  if (!isObject(json) || !isObject(json.source)) return undefined;
  const { source, problem, findings } = json;
  if (source.record !== record || typeof source.chain !== 'string') return undefined;
  if (isObject(problem))
    return { chain: source.chain, outcome: { refusal: String(problem.type).replace(/^.*\//, '') } };
  const stops = (Array.isArray(findings) ? findings : []).flatMap((finding: unknown) =>
    isObject(finding) && finding.severity === 'stop' ? [String(finding.code)] : [],
  );
  return { chain: source.chain, outcome: { stops: [...new Set(stops)] } };
}
