/** A garden that comes with the page. All of them are bundled, so that the demo needs no network. */
export type Garden = {
  readonly key: string;
  readonly title: string;
  readonly about: string;
  /** In the catalogue of words. */
  readonly group: 'choose.estate' | 'choose.real';
  readonly fileName: string;
  readonly url: string;
  readonly elevation: { readonly fileName: string; readonly url: string; readonly projectionUrl: string | null } | null;
};

type IndexEntry = {
  readonly file: string;
  readonly title: string;
  readonly about: string;
  readonly elevation?: string;
};

const FOLDERS = [
  { folder: 'estate', group: 'choose.estate' },
  { folder: 'real', group: 'choose.real' },
] as const;

const indexes = import.meta.glob<readonly IndexEntry[]>('../fixtures/sites/*/index.json', {
  eager: true,
  import: 'default',
});
const urls = import.meta.glob<string>(
  [
    '../fixtures/sites/estate/**/*.{geojson,asc,prj,tif}',
    '../fixtures/sites/real/*.{geojson,tif}',
    '!../fixtures/sites/real/lawns-*',
  ],
  { eager: true, import: 'default', query: '?url' },
);

export const GARDENS: readonly Garden[] = FOLDERS.flatMap(({ folder, group }) => {
  const base = `../fixtures/sites/${folder}/`;
  return (indexes[`${base}index.json`] ?? []).map(
    ({ file, title, about, elevation }): Garden => ({
      key: `${folder}/${file.replace(/\.geojson$/, '')}`,
      title,
      about,
      group,
      fileName: file,
      url: urls[base + file],
      elevation: elevation === undefined ? null : grid(base, elevation),
    }),
  );
});

/** An ASCII grid has its projection in a file of the same name beside it. */
function grid(base: string, fileName: string): Garden['elevation'] {
  const projectionUrl = urls[base + fileName.replace(/\.asc$/, '.prj')] ?? null;
  return { fileName, url: urls[base + fileName], projectionUrl: fileName.endsWith('.asc') ? projectionUrl : null };
}
