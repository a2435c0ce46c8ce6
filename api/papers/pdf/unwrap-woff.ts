import { inflateSync } from 'node:zlib';

const HEADER = 44;
const ENTRY = 20;

/** A WOFF 1.0 file (W3C Recommendation, 2012) -> the TrueType or OpenType file in it: each table inflated once instead of at every use. */
export function unwrapWoff(woff: Uint8Array): Uint8Array {
  const given = new DataView(woff.buffer, woff.byteOffset, woff.byteLength);
  if (given.getUint32(0) !== 0x774f4646) throw new Error('this is no WOFF 1.0 file');
  const tableCount = given.getUint16(12);
  const tables = Array.from({ length: tableCount }, (_, i) => {
    const at = HEADER + ENTRY * i;
    const [tag, offset, packed, length, checksum] = [0, 4, 8, 12, 16].map((each) => given.getUint32(at + each));
    const bytes = woff.subarray(offset, offset + packed);
    return { tag, checksum, bytes: packed === length ? bytes : inflateSync(bytes) };
  });
  const padded = (length: number) => Math.ceil(length / 4) * 4;
  const directory = 12 + 16 * tableCount;
  const sfnt = new Uint8Array(tables.reduce((sum, { bytes }) => sum + padded(bytes.length), directory));
  const view = new DataView(sfnt.buffer);
  const powers = Math.floor(Math.log2(tableCount));
  view.setUint32(0, given.getUint32(4));
  view.setUint16(4, tableCount);
  view.setUint16(6, 16 * 2 ** powers);
  view.setUint16(8, powers);
  view.setUint16(10, 16 * (tableCount - 2 ** powers));
  let offset = directory;
  for (const [i, { tag, checksum, bytes }] of tables.entries()) {
    [tag, checksum, offset, bytes.length].forEach((value, k) => void view.setUint32(12 + 16 * i + 4 * k, value));
    sfnt.set(bytes, offset);
    offset += padded(bytes.length);
  }
  return sfnt;
}
