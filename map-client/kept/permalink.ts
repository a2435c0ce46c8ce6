/** What an address names: a garden of the service or of the demo, how far its making is shown, and where the sheet is. */
export type Permalink = {
  readonly kept: string | null;
  readonly garden: string | null;
  readonly step: number | null;
  readonly view: {
    readonly lonDeg: number;
    readonly latDeg: number;
    readonly zoom: number;
    readonly bearingDeg: number;
  } | null;
};

/** `#kept=old-orchard&step=7&view=10.12345678,52.1234567,19.25,0` */
export function readPermalink(hash: string): Permalink {
  const said = new URLSearchParams(hash.replace(/^#/, ''));
  const step = Number(said.get('step') ?? Number.NaN);
  const numbers = (said.get('view') ?? '').split(',').map(Number);
  const [lonDeg, latDeg, zoom, bearingDeg] = numbers;
  const isPlace =
    numbers.length === 4 && numbers.every(Number.isFinite) && Math.abs(lonDeg) <= 180 && Math.abs(latDeg) <= 85;
  return {
    kept: said.get('kept'),
    garden: said.get('garden'),
    step: Number.isInteger(step) && step >= 0 ? step : null,
    view: isPlace ? { lonDeg, latDeg, zoom, bearingDeg } : null,
  };
}

/** The hash of an address that reproduces the view; a drawing that is nowhere but here has none. */
export function permalinkHash({ kept, garden, step, view }: Permalink): string {
  if (kept === null && garden === null) return '';
  const named = kept === null ? `garden=${encodeURIComponent(garden ?? '')}` : `kept=${encodeURIComponent(kept)}`;
  const at =
    view === null
      ? ''
      : `&view=${view.lonDeg.toFixed(7)},${view.latDeg.toFixed(7)},${view.zoom.toFixed(2)},${view.bearingDeg.toFixed(0)}`;
  return `#${named}${step === null ? '' : `&step=${step}`}${at}`;
}
