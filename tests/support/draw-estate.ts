import { mkdirSync, writeFileSync } from 'node:fs';
import proj4 from 'proj4';
import { GARDENS, type Garden } from './estate-gardens.ts';
import { gardenSpot, penFor } from './estate-pen.ts';

/**
 * Draws the invented estate again: `npx tsx tests/support/draw-estate.ts` writes fixtures/sites/estate/ (the sites, their
 * ground heights and index.json). The output is committed; the same drawing gives the same bytes.
 */
const FOLDER = new URL('../../fixtures/sites/estate/', import.meta.url);
const GRID_CELL_M = 1;
const GRID_MARGIN_M = 4;
const UTM_32N =
  'PROJCS["ETRS89 / UTM zone 32N",GEOGCS["ETRS89",DATUM["European_Terrestrial_Reference_System_1989",SPHEROID["GRS 1980",6378137,298.257222101]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",9],PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",0],UNIT["metre",1],AUTHORITY["EPSG","25832"]]';
const utm = proj4('+proj=utm +zone=32 +ellps=GRS80 +units=m +no_defs');

drawEstate();

function drawEstate(): void {
  mkdirSync(new URL('elevation/', FOLDER), { recursive: true });
  for (const garden of GARDENS) {
    writeFileSync(new URL(garden.file, FOLDER), siteText(garden));
    if (garden.elevation === undefined) continue;
    writeFileSync(new URL(garden.elevation.file, FOLDER), asciiGrid(garden, garden.elevation));
    writeFileSync(new URL(garden.elevation.file.replace(/\.asc$/, '.prj'), FOLDER), `${UTM_32N}\n`);
  }
  const index = GARDENS.map(({ file, title, about, elevation }) => ({
    file,
    title,
    about,
    ...(elevation === undefined ? {} : { elevation: elevation.file }),
  }));
  writeFileSync(new URL('index.json', FOLDER), `${JSON.stringify(index, null, 2)}\n`);
}

/** Indented JSON with every position on one line. */
function siteText(garden: Garden): string {
  const site = {
    type: 'FeatureCollection',
    id: garden.file.replace(/\.geojson$/, ''),
    name: garden.title,
    about: `${garden.about} Invented: no such place, house or owner exists.`,
    invented: true,
    ...garden.members,
    features: garden.draw(penFor(garden.plot)),
  };
  return `${JSON.stringify(site, null, 1).replace(/\[\s+(-?[\d.]+),\s+(-?[\d.]+)\s+\]/g, '[$1, $2]')}\n`;
}

/** ESRI ASCII grid in EPSG:25832 over the whole plot, heights in centimetres' precision at cell centres. */
function asciiGrid(garden: Garden, elevation: NonNullable<Garden['elevation']>): string {
  const pen = penFor(garden.plot);
  const reach: readonly (readonly [number, number])[] = [
    [-GRID_MARGIN_M, -GRID_MARGIN_M],
    [garden.widthM + GRID_MARGIN_M, -GRID_MARGIN_M],
    [garden.widthM + GRID_MARGIN_M, elevation.depthM + GRID_MARGIN_M],
    [-GRID_MARGIN_M, elevation.depthM + GRID_MARGIN_M],
  ];
  const corners = reach.map((spot) => utm.forward([...pen.lonLat(spot)]));
  const left = Math.floor(Math.min(...corners.map(([x]) => x)));
  const bottom = Math.floor(Math.min(...corners.map(([, y]) => y)));
  const columns = Math.ceil(Math.max(...corners.map(([x]) => x)) - left) / GRID_CELL_M;
  const rows = Math.ceil(Math.max(...corners.map(([, y]) => y)) - bottom) / GRID_CELL_M;
  const lines = Array.from({ length: rows }, (_, row) =>
    Array.from({ length: columns }, (_, column) => {
      const [lon, lat] = utm.inverse([left + (column + 0.5) * GRID_CELL_M, bottom + (rows - row - 0.5) * GRID_CELL_M]);
      const [u, v] = gardenSpot(garden.plot, lon, lat);
      return elevation.heightM(u, v).toFixed(3);
    }).join(' '),
  );
  return [
    `ncols ${columns}`,
    `nrows ${rows}`,
    `xllcorner ${left}`,
    `yllcorner ${bottom}`,
    `cellsize ${GRID_CELL_M}`,
    'NODATA_value -9999',
    ...lines,
    '',
  ].join('\n');
}
