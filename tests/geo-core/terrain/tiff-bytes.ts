/** Builds TIFF files byte by byte: what no ordinary writer makes. Little-endian, one strip. */
export type TiffField = { readonly tag: number; readonly values: readonly number[]; readonly type: 3 | 4 | 12 };

const TYPE_BYTES = { 3: 2, 4: 4, 12: 8 } as const;

export function tiffBytes(fields: readonly TiffField[], strip: Uint8Array): Uint8Array {
  const placed: TiffField[] = [
    ...fields,
    { tag: 273, type: 4, values: [0] },
    { tag: 279, type: 4, values: [strip.length] },
  ].toSorted((a, b) => a.tag - b.tag) as TiffField[];
  const directoryBytes = 2 + placed.length * 12 + 4;
  let end = 8 + directoryBytes;
  const offsets = placed.map(({ type, values }) => {
    const bytes = TYPE_BYTES[type] * values.length;
    if (bytes <= 4) return 0;
    const offset = end;
    end += bytes + (bytes % 2);
    return offset;
  });
  const file = new Uint8Array(end + strip.length);
  const view = new DataView(file.buffer);
  view.setUint32(0, 0x002a4949, true);
  view.setUint32(4, 8, true);
  view.setUint16(8, placed.length, true);
  placed.forEach(({ tag, type, values }, i) => {
    const entry = 10 + i * 12;
    view.setUint16(entry, tag, true);
    view.setUint16(entry + 2, type, true);
    view.setUint32(entry + 4, values.length, true);
    const at = offsets[i] === 0 ? entry + 8 : offsets[i];
    if (offsets[i] !== 0) view.setUint32(entry + 8, at, true);
    (tag === 273 ? [end] : values).forEach((value, k) => {
      const place = at + k * TYPE_BYTES[type];
      if (type === 3) view.setUint16(place, value, true);
      else if (type === 4) view.setUint32(place, value, true);
      else view.setFloat64(place, value, true);
    });
  });
  file.set(strip, end);
  return file;
}

/** Fields of a georeferenced grid of 32-bit floats in EPSG:25832; fields given again replace these. */
export function gridFields(columns: number, rows: number, others: readonly TiffField[] = []): TiffField[] {
  const own: TiffField[] = [
    { tag: 256, type: 4, values: [columns] },
    { tag: 257, type: 4, values: [rows] },
    { tag: 258, type: 3, values: [32] },
    { tag: 259, type: 3, values: [1] },
    { tag: 262, type: 3, values: [1] },
    { tag: 277, type: 3, values: [1] },
    { tag: 278, type: 4, values: [rows] },
    { tag: 339, type: 3, values: [3] },
    { tag: 33550, type: 12, values: [10, 10, 0] },
    { tag: 33922, type: 12, values: [0, 0, 0, 500_000, 5_000_030, 0] },
    { tag: 34735, type: 3, values: [1, 1, 0, 3, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 25_832] },
  ];
  const replaced = new Set(others.map(({ tag }) => tag));
  return [...own.filter(({ tag }) => !replaced.has(tag)), ...others];
}

export function floats(values: readonly number[]): Uint8Array {
  return new Uint8Array(Float32Array.from(values).buffer);
}
