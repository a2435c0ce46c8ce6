/** A picture small enough to be decoded without thinking about it. */
const BYTES_MAX = 200_000;
const SIDE_MAX = 2_000;

export type Logo = {
  readonly mediaType: 'image/png' | 'image/jpeg';
  readonly bytes: Uint8Array;
  readonly width: number;
  readonly height: number;
};
export type LogoFault = { readonly fault: string };

/** A data URI -> the picture in it, or why it is none that can be printed. Nothing is fetched. */
export function logoOf(dataUri: string): Logo | LogoFault {
  const [, mediaType, base64] = /^data:(image\/png|image\/jpeg);base64,([A-Za-z0-9+/]+={0,2})$/.exec(dataUri) ?? [];
  if (mediaType === undefined) {
    return { fault: 'a logo is a data URI of a PNG or JPEG: data:image/png;base64,... (an address is never fetched)' };
  }
  if (base64.length > (BYTES_MAX * 4) / 3 + 4) return { fault: `a logo has at most ${BYTES_MAX / 1000} kB` };
  const bytes = decoded(base64);
  const size = mediaType === 'image/png' ? pngSize(bytes) : jpegSize(bytes);
  if (size === undefined) return { fault: `this is no whole ${mediaType}` };
  if (!(size.width >= 1 && size.height >= 1 && size.width <= SIDE_MAX && size.height <= SIDE_MAX)) {
    return { fault: `a logo is 1 to ${SIDE_MAX} pixels wide and high, this one ${size.width} by ${size.height}` };
  }
  return { mediaType: mediaType === 'image/png' ? 'image/png' : 'image/jpeg', bytes, ...size };
}

type Size = { readonly width: number; readonly height: number };

const DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** RFC 4648, section 4; digits are known to be right. */
function decoded(base64: string): Uint8Array {
  const digits = base64.replace(/=+$/, '');
  const bytes = new Uint8Array(Math.floor((digits.length * 6) / 8));
  let [held, bits, at] = [0, 0, 0];
  for (const digit of digits) {
    held = (held * 64 + DIGITS.indexOf(digit)) % 65_536;
    bits += 6;
    if (bits < 8) continue;
    bits -= 8;
    bytes[at] = Math.floor(held / 2 ** bits) % 256;
    at += 1;
  }
  return bytes;
}

function whole(bytes: Uint8Array, at: number, length: number): number {
  let value = 0;
  for (let i = 0; i < length; i++) value = value * 256 + (bytes[at + i] ?? 0);
  return value;
}

const PNG_SIGNATURE = [137, 80, 78, 71, 13, 10, 26, 10];
const PNG_LEAST = 45;

/** ISO/IEC 15948: signature, then the chunk IHDR, and IEND at the end. */
function pngSize(bytes: Uint8Array): Size | undefined {
  const isPng = bytes.length >= PNG_LEAST && PNG_SIGNATURE.every((byte, i) => bytes[i] === byte);
  const hasEnd = whole(bytes, bytes.length - 8, 4) === 0x49454e44;
  if (!isPng || !hasEnd || whole(bytes, 12, 4) !== 0x49484452) return undefined;
  return { width: whole(bytes, 16, 4), height: whole(bytes, 20, 4) };
}

/** ISO/IEC 10918-1: segments up to the frame header (SOF0 to SOF15 but for DHT, JPG and DAC). */
function jpegSize(bytes: Uint8Array): Size | undefined {
  if (whole(bytes, 0, 2) !== 0xffd8 || whole(bytes, bytes.length - 2, 2) !== 0xffd9) return undefined;
  for (let at = 2; at + 9 < bytes.length; ) {
    if (bytes[at] !== 0xff) return undefined;
    const marker = bytes[at + 1];
    const isFrame = marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;
    if (isFrame) return { height: whole(bytes, at + 5, 2), width: whole(bytes, at + 7, 2) };
    const length = whole(bytes, at + 2, 2);
    if (length < 2) return undefined;
    at += 2 + length;
  }
  return undefined;
}
