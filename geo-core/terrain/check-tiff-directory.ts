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
/** Directories looked at: the grid, its overviews, its mask. Their chain may be endless in a hostile file. */
const MAX_DIRECTORIES = 64;
const NEW_SUBFILE_TYPE = 254;
/** Bit of NewSubfileType (TIFF 6.0, section 8): a transparency mask. */
const IS_MASK = 4;

export function isTiff(bytes: Uint8Array): boolean {
  const [first, second, third, fourth] = bytes;
  const isLittle = first === 0x49 && second === 0x49 && (third === 42 || third === 43) && fourth === 0;
  const isBig = first === 0x4d && second === 0x4d && third === 0 && (fourth === 42 || fourth === 43);
  return isLittle || isBig;
}

/**
 * Walks the directories of a TIFF before the library does: no field may claim more values than the file has bytes, since the
 * library allocates by what a field claims. Says whether the file is big-endian. Throws `damaged-file`, and
 * `unsupported-encoding` for a file that keeps its unknown cells in a mask.
 */
export function checkTiffDirectory(bytes: Uint8Array): { readonly isBigEndian: boolean } {
  const isBigEndian = bytes[0] === 0x4d;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const file: TiffFile = { view, littleEndian: !isBigEndian, isBigTiff: bytes[isBigEndian ? 3 : 2] === 43 };
  try {
    let offset = wide(file, file.isBigTiff ? 8 : 4);
    for (let i = 0; offset !== 0 && i < MAX_DIRECTORIES; i++) offset = checkDirectory(file, offset);
  } catch (error) {
    throw error instanceof TerrainError ? error : damaged('it ends before its directories do', error);
  }
  return { isBigEndian };
}

type TiffFile = { readonly view: DataView; readonly littleEndian: boolean; readonly isBigTiff: boolean };

/** An offset or a count: eight bytes in a BigTIFF, else four. */
function wide({ view, littleEndian, isBigTiff }: TiffFile, at: number): number {
  return isBigTiff ? Number(view.getBigUint64(at, littleEndian)) : view.getUint32(at, littleEndian);
}

/** Checks the directory at an offset; gives the offset of the next, 0 after the last. */
function checkDirectory(file: TiffFile, offset: number): number {
  const { view, littleEndian, isBigTiff } = file;
  const count = isBigTiff ? wide(file, offset) : view.getUint16(offset, littleEndian);
  if (count > MAX_ENTRIES) throw damaged(`a directory claims ${count} fields`);
  const firstEntry = offset + (isBigTiff ? 8 : 2);
  const entryBytes = isBigTiff ? 20 : 12;
  for (let i = 0; i < count; i++) {
    const entry = firstEntry + i * entryBytes;
    const tag = view.getUint16(entry, littleEndian);
    const type = view.getUint16(entry + 2, littleEndian);
    const values = wide(file, entry + 4);
    if (values * (TYPE_BYTES[type] ?? Number.POSITIVE_INFINITY) > view.byteLength) {
      throw damaged(`field ${tag} claims ${values} values of type ${type}`);
    }
    if (tag === NEW_SUBFILE_TYPE && (view.getUint32(entry + (isBigTiff ? 12 : 8), littleEndian) & IS_MASK) !== 0) {
      throw new TerrainError(
        'unsupported-encoding',
        'The GeoTIFF keeps its unknown cells in a mask, which is not read.',
        'Save it with a no-data value in place of the mask.',
      );
    }
  }
  return wide(file, firstEntry + count * entryBytes);
}

export function damaged(what: string, cause?: unknown): TerrainError {
  return new TerrainError(
    'damaged-file',
    `The GeoTIFF cannot be read: ${what}.`,
    'Fetch or save the file again.',
    cause,
  );
}
