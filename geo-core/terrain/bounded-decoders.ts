import { addDecoder, BaseDecoder, type ImageFileDirectory } from 'geotiff';
import { Inflate } from 'pako';

/**
 * Decoders of TIFF blocks that never unpack more than a block can hold, so that a small hostile file cannot fill the memory;
 * they take the place of the TIFF library's own. One band a file is assumed (checked before).
 */

/** Compression schemes that are read, by the value of their tag. */
export const READ_COMPRESSIONS: ReadonlyMap<number, string> = new Map([
  [1, 'none'],
  [5, 'LZW'],
  [8, 'deflate'],
  [32946, 'deflate'],
  [32773, 'PackBits'],
]);

/** Tells the TIFF library to use these decoders. */
export function useBoundedDecoders(): void {
  addDecoder(5, async () => LzwDecoder, blockParameters);
  addDecoder([8, 32946], async () => DeflateDecoder, blockParameters);
  addDecoder(32773, async () => PackBitsDecoder, blockParameters);
}

type BlockParameters = BaseDecoder['parameters'];

async function blockParameters(directory: ImageFileDirectory): Promise<BlockParameters> {
  const load = async (
    tag: 'TileWidth' | 'TileLength' | 'ImageWidth' | 'ImageLength' | 'RowsPerStrip' | 'Predictor',
  ): Promise<number> => Number((await directory.loadValue(tag)) ?? 0);
  const imageHeight = await load('ImageLength');
  const isTiled = !directory.hasTag('StripOffsets');
  return {
    tileWidth: isTiled ? await load('TileWidth') : await load('ImageWidth'),
    tileHeight: isTiled ? await load('TileLength') : Math.min((await load('RowsPerStrip')) || imageHeight, imageHeight),
    planarConfiguration: 1,
    bitsPerSample: [Number((await directory.loadValue('BitsPerSample'))?.[0])],
    predictor: (await load('Predictor')) || 1,
  };
}

function blockBytes({ tileWidth, tileHeight, bitsPerSample }: BlockParameters): number {
  const bits = typeof bitsPerSample === 'number' ? bitsPerSample : bitsPerSample[0];
  return (tileWidth * tileHeight * bits) / 8;
}

const OVERFULL = 'a block unpacks to more than it can hold';

/** Output that knows its limit. */
class BlockWriter {
  private readonly bytes: Uint8Array<ArrayBuffer>;
  private length = 0;

  constructor(limit: number) {
    this.bytes = new Uint8Array(limit);
  }

  append(chunk: Uint8Array): void {
    if (this.length + chunk.length > this.bytes.length) throw new Error(OVERFULL);
    this.bytes.set(chunk, this.length);
    this.length += chunk.length;
  }

  repeat(byte: number, count: number): void {
    if (this.length + count > this.bytes.length) throw new Error(OVERFULL);
    this.bytes.fill(byte, this.length, this.length + count);
    this.length += count;
  }

  /** Only what was written: missing bytes must not pass for heights of 0. */
  written(): ArrayBuffer {
    return this.bytes.buffer.slice(0, this.length);
  }
}

class DeflateDecoder extends BaseDecoder {
  override decodeBlock(buffer: ArrayBufferLike): ArrayBuffer {
    const limit = blockBytes(this.parameters);
    const writer = new BlockWriter(limit);
    const inflate = new Inflate({ chunkSize: Math.max(limit, 64) });
    inflate.onData = (chunk) => writer.append(chunk);
    inflate.push(new Uint8Array(buffer), true);
    if (inflate.err !== 0) throw new Error(inflate.msg || 'a deflate stream is damaged');
    return writer.written();
  }
}

/** TIFF 6.0, section 9. */
class PackBitsDecoder extends BaseDecoder {
  override decodeBlock(buffer: ArrayBufferLike): ArrayBuffer {
    const input = new Uint8Array(buffer);
    const writer = new BlockWriter(blockBytes(this.parameters));
    for (let at = 0; at < input.length; ) {
      const head = input[at++];
      if (head < 128) {
        writer.append(input.subarray(at, at + head + 1));
        at += head + 1;
      } else if (head > 128 && at < input.length) {
        writer.repeat(input[at++], 257 - head);
      }
    }
    return writer.written();
  }
}

const LZW_CLEAR = 256;
const LZW_END = 257;

/** TIFF 6.0, section 13: codes of 9 to 12 bits, high bit first, widened one code early. */
class LzwDecoder extends BaseDecoder {
  override decodeBlock(buffer: ArrayBufferLike): ArrayBuffer {
    const input = new Uint8Array(buffer);
    const writer = new BlockWriter(blockBytes(this.parameters));
    let table: Uint8Array[] = [];
    let width = 9;
    let previous: Uint8Array | undefined;
    for (let bit = 0; bit + width <= input.length * 8; ) {
      const code = codeAt(input, bit, width);
      bit += width;
      if (code === LZW_END) break;
      if (code === LZW_CLEAR) {
        table = [];
        width = 9;
        previous = undefined;
        continue;
      }
      const entry = entryOf(code, table, previous);
      writer.append(entry);
      if (previous !== undefined && table.length < 4096 - 258) table.push(joined(previous, entry[0]));
      previous = entry;
      const next = 258 + table.length + 1;
      width = next >= 2048 ? 12 : next >= 1024 ? 11 : next >= 512 ? 10 : 9;
    }
    return writer.written();
  }
}

function codeAt(input: Uint8Array, bit: number, width: number): number {
  const byte = bit >> 3;
  const window = (input[byte] << 16) | ((input[byte + 1] ?? 0) << 8) | (input[byte + 2] ?? 0);
  return (window >> (24 - (bit & 7) - width)) & ((1 << width) - 1);
}

function entryOf(code: number, table: readonly Uint8Array[], previous: Uint8Array | undefined): Uint8Array {
  if (code < 256) return Uint8Array.of(code);
  const entry = table[code - 258];
  if (entry !== undefined) return entry;
  if (previous === undefined || code - 258 !== table.length) throw new Error('an LZW stream is damaged');
  return joined(previous, previous[0]);
}

function joined(start: Uint8Array, last: number): Uint8Array {
  const entry = new Uint8Array(start.length + 1);
  entry.set(start);
  entry[start.length] = last;
  return entry;
}
