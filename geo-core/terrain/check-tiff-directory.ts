import { TerrainError } from './terrain-error.ts';

/** Bytes of one value by TIFF field type (TIFF 6.0, section 2; 13 and 16 to 18 are those of BigTIFF). */
const TYPE_BYTES: Readonly<Record<number, number>> = {
  1: 1,
  2: 1,
  3: 2,
  4: 4,
  5: 8,
  6: 1,
  7: 1,
  8: 2,
  9: 4,
  10: 8,
  11: 4,
  12: 8,
  13: 4,
  16: 8,
  17: 8,
  18: 8,
};

const MAX_ENTRIES = 4096;

export function isTiff(bytes: Uint8Array): boolean {
  const [first, second, third, fourth] = bytes;
  const isLittle = first === 0x49 && second === 0x49 && (third === 42 || third === 43) && fourth === 0;
  const isBig = first === 0x4d && second === 0x4d && third === 0 && (fourth === 42 || fourth === 43);
  return isLittle || isBig;
}

/**
 * Walks the first directory of a TIFF before the library does: no field may claim more values than the file has bytes, since the
 * library allocates by what a field claims. Says whether the file is big-endian. Throws `damaged-file`.
 */
export function checkTiffDirectory(bytes: Uint8Array): { readonly isBigEndian: boolean } {
  const isBigEndian = bytes[0] === 0x4d;
  const littleEndian = !isBigEndian;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  try {
    const isBigTiff = view.getUint16(2, littleEndian) === 43;
    const offset = isBigTiff ? Number(view.getBigUint64(8, littleEndian)) : view.getUint32(4, littleEndian);
    const count = isBigTiff ? Number(view.getBigUint64(offset, littleEndian)) : view.getUint16(offset, littleEndian);
    if (count > MAX_ENTRIES) throw damaged(`its directory claims ${count} fields`);
    const firstEntry = offset + (isBigTiff ? 8 : 2);
    for (let i = 0; i < count; i++) {
      const entry = firstEntry + i * (isBigTiff ? 20 : 12);
      const type = view.getUint16(entry + 2, littleEndian);
      const values = isBigTiff
        ? Number(view.getBigUint64(entry + 4, littleEndian))
        : view.getUint32(entry + 4, littleEndian);
      if (values * (TYPE_BYTES[type] ?? Number.POSITIVE_INFINITY) > bytes.length) {
        const tag = view.getUint16(entry, littleEndian);
        throw damaged(`field ${tag} claims ${values} values of type ${type}`);
      }
    }
  } catch (error) {
    throw error instanceof TerrainError ? error : damaged('it ends before its directory does', error);
  }
  return { isBigEndian };
}

export function damaged(what: string, cause?: unknown): TerrainError {
  return new TerrainError(
    'damaged-file',
    `The GeoTIFF cannot be read: ${what}.`,
    'Fetch or save the file again.',
    cause,
  );
}
