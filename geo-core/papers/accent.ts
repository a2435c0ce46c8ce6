/** Bottle green: 8.6 : 1 on white. */
export const DEFAULT_ACCENT = '#24533f';
/** WCAG 2.2, success criterion 1.4.3 (AA), for text of any size. */
const LEAST_CONTRAST = 4.5;

/** The firm's colour where it can be read on white, else the default. `colour` may be anything. */
export function accentFor(colour: string | undefined): string {
  if (colour === undefined || !/^#[0-9a-f]{6}$/i.test(colour)) return DEFAULT_ACCENT;
  return contrastOnWhite(colour) >= LEAST_CONTRAST ? colour.toLowerCase() : DEFAULT_ACCENT;
}

/** WCAG 2.2, contrast ratio and relative luminance, of `#rrggbb` against white. */
export function contrastOnWhite(colour: string): number {
  const [red, green, blue] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05);
}
