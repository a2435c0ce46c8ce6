import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { parseArgs } from 'node:util';
import { CRS_REMEDY, parseCrs } from '#api/contract/parse-crs.ts';
import { FILE_FORMATS } from '#api/formats/file-formats.ts';
import { WIDTH_PX } from '#api/formats/map-image.ts';
import { handoverOf } from '#api/papers/answer-paper.ts';
import { PAPER_FORMATS } from '#api/papers/papers.ts';
import type { MadePlan } from '#api/plan/make-plan.ts';
import type { ElevationFile, PlanJob, RefusedAnswer } from '#api/plan/plan-job.ts';
import { readConfig } from '#api/read-config.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';
import { crsByWkt, type Handover } from '#geo-core/index.ts';
import { planInTime } from './plan-in-time.ts';
import { type ManySites, planMany } from './plan-many.ts';
import { planReport } from './plan-report.ts';
import { portfolioReport } from './portfolio-report.ts';
import { WrongCall } from './wrong-call.ts';

/** Formats and papers, and the files they are written to. */
const HAND_OVERS = [
  ...FILE_FORMATS.map((format) => ({ ...format, fileName: `plan.${format.extension}` })),
  ...PAPER_FORMATS,
];

const HELP = `Plans one site and prints what the crew needs to know, or a file of many sites into a file of answers.

  npm run plan -- site.geojson [options]
  npm run plan -- sites.geojsonl --out plans.geojsonl [options]

  --elevation FILE        ground heights: GeoTIFF, ESRI ASCII grid or CoverageJSON
  --elevation-epsg CODE   its coordinate system, where the file does not say it
  --rules NAME|FILE.json  rule set, or overrides as JSON, instead of what the site says
  --crs EPSG:CODE         coordinate system of the site, where it is not WGS 84
  --units metric|us       units of the printed figures
  --formats LIST          files to write, of ${HAND_OVERS.map(({ id }) => id).join(', ')} (default geojson with --out)
  --width PIXELS          of the png, ${WIDTH_PX.least} to ${WIDTH_PX.most} (default ${WIDTH_PX.standard})
  --out FOLDER            where to (default: out, where something is to be written); many: the file of answers, one
                          line a site in order. Started again with the same words, a run that was interrupted goes on
  --sites                 many: the file is one FeatureCollection of sites; .geojsonl, .ndjson, .jsonl, .geojsonseq and
                          .geojsons hold a site a record anyway
  --workers NUMBER        many: how many plan at once (default: one a core)
  --limit-s SECONDS       longest time for the plan (default 20, or LOOPWRIGHT_PLANNING_MAX_S)
  --trace                 write what every stage made to FOLDER/trace
  --help                  this text

Exit codes: 0 planned, 2 wrong call or unreadable file, 3 site refused or out of time, 4 planned but something says stop, 1 defect.
Of many sites: 3 where any was refused, else 4 where any plan says stop.
`;

const PLANNED = 0;
const WRONG_CALL = 2;
const REFUSED = 3;
const STOPPED = 4;
/** A day: timers hold little more than three weeks. */
const LIMIT_S_MAX = 86_400;
const WORKERS_MAX = 256;
const SEQUENCES_OF_SITES = /\.(geojsonl|ndjson|jsonl|geojsons|geojsonseq)$/i;

/** Where a command writes to, and what it may know of the world. */
export type Terminal = {
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  /** Whether somebody watches what goes to `err`. */
  readonly isWatched: boolean;
  readonly cores: number;
  readonly nowMs: () => number;
  readonly version: string;
  readonly environment: Readonly<Record<string, string | undefined>>;
};

/** Runs one command with its arguments; returns its exit code (see HELP). Throws only for defects of ours. */
export async function runCommand(args: readonly string[], terminal: Terminal): Promise<number> {
  try {
    const options = readOptions(args, terminal);
    if (options === 'help') {
      terminal.out(HELP);
      return PLANNED;
    }
    return 'input' in options ? await planSites(options, terminal) : await plan(options, terminal);
  } catch (error) {
    if (!(error instanceof WrongCall)) throw error;
    terminal.err(`${error.message}\n`);
    return WRONG_CALL;
  }
}

type Options = {
  readonly job: PlanJob;
  readonly formats: readonly (typeof HAND_OVERS)[number][];
  readonly folder: string;
  readonly trace: boolean;
};

function readOptions(args: readonly string[], terminal: Terminal): Options | ManySites | 'help' {
  const { environment } = terminal;
  const { values, positionals } = parsed(args);
  if (values.help || args.length === 0) return 'help';
  const [command, sitePath, ...rest] = positionals;
  if (command !== 'plan') throw new WrongCall(`"${command ?? ''}" is no command; known are plan (--help tells more)`);
  if (sitePath === undefined || rest.length > 0) throw new WrongCall('name one site file (--help tells more)');
  if (values.sites || SEQUENCES_OF_SITES.test(sitePath)) return readManyOptions(sitePath, values, terminal);
  if (values.workers !== undefined) throw new WrongCall('--workers is for many sites (--help tells more)');
  const ids = values.formats?.split(',') ?? (values.out === undefined ? [] : ['geojson']);
  const formats = ids.map((id) => {
    const format = HAND_OVERS.find((known) => known.id === id.trim());
    if (format !== undefined) return format;
    throw new WrongCall(
      `--formats "${id}" is not written here; known are ${HAND_OVERS.map((known) => known.id).join(', ')}`,
    );
  });
  const widthPx = readWidth(values.width);
  const elevation = readElevationFile(values.elevation, values['elevation-epsg']);
  return {
    job: {
      site: readInput(sitePath),
      ...(elevation !== undefined && { elevation }),
      ...(widthPx !== undefined && { widthPx }),
      ...readJob(values, environment),
    },
    formats,
    folder: values.out ?? 'out',
    trace: values.trace,
  };
}

type Values = ReturnType<typeof parsed>['values'];

/** What is asked of one plan or of many. */
function readJob(values: Values, environment: Terminal['environment']): Omit<PlanJob, 'site'> {
  const { rules, crs, units: unitsText } = values;
  if (crs !== undefined && parseCrs(crs) === undefined) throw new WrongCall(`--crs "${crs}": ${CRS_REMEDY}`);
  const units = (['metric', 'us'] as const).find((known) => known === unitsText);
  if (unitsText !== undefined && units === undefined) throw new WrongCall(`--units "${unitsText}" is not metric or us`);
  return {
    ...(rules !== undefined && { rules: readRules(rules) }),
    ...(crs !== undefined && { siteCrs: crs }),
    ...(units !== undefined && { units }),
    format: 'geojson',
    limits: limitsFor(values['limit-s'], environment),
  };
}

function readManyOptions(input: string, values: Values, terminal: Terminal): ManySites {
  const { environment, cores, version, err } = terminal;
  if (values.out === undefined) throw new WrongCall('many sites need --out FILE for their answers (--help tells more)');
  for (const name of ['elevation', 'elevation-epsg', 'formats', 'width', 'trace'] as const) {
    if (values[name] !== undefined && values[name] !== false) throw new WrongCall(`--${name} is for one site only`);
  }
  const workers = Number(values.workers ?? cores);
  if (!(Number.isInteger(workers) && workers >= 1 && workers <= WORKERS_MAX))
    throw new WrongCall(`--workers "${values.workers}" is not a whole number from 1 to ${WORKERS_MAX}`);
  const config = readConfig(environment, cores);
  return {
    input,
    form: values.sites ? 'collection' : 'records',
    output: values.out,
    job: { ...readJob(values, environment), takesFeature: true, wantsFigures: true },
    pool: { ...config, workers, queueMax: Number.POSITIVE_INFINITY, kernelBytes: readKernelBytes() },
    version,
    progress: { write: err, isTerminal: terminal.isWatched, nowMs: terminal.nowMs },
    onFailure: (trace) => err(`\n${trace}\n`),
  };
}

async function planSites(many: ManySites, { out }: Terminal): Promise<number> {
  const tally = await planMany(many);
  out(portfolioReport(tally, many.output));
  if (tally.refused > 0) return REFUSED;
  return tally.stopped > 0 ? STOPPED : PLANNED;
}

function parsed(args: readonly string[]) {
  try {
    return parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        elevation: { type: 'string' },
        'elevation-epsg': { type: 'string' },
        rules: { type: 'string' },
        crs: { type: 'string' },
        units: { type: 'string' },
        formats: { type: 'string' },
        width: { type: 'string' },
        out: { type: 'string' },
        'limit-s': { type: 'string' },
        sites: { type: 'boolean', default: false },
        workers: { type: 'string' },
        trace: { type: 'boolean', default: false },
        help: { type: 'boolean', short: 'h', default: false },
      },
    });
  } catch (error) {
    throw new WrongCall(error instanceof Error ? error.message : String(error));
  }
}

/** The limits of the service, with the time that was asked for. */
function limitsFor(limitS: string | undefined, environment: Terminal['environment']): PlanJob['limits'] {
  const { limits } = readConfig(environment, 1);
  if (limitS === undefined) return limits;
  const seconds = Number(limitS);
  if (!(seconds > 0 && seconds <= LIMIT_S_MAX))
    throw new WrongCall(`--limit-s "${limitS}" is not a number of seconds from 0 to ${LIMIT_S_MAX}`);
  return { ...limits, planningMsMax: 1000 * seconds };
}

function readWidth(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const { least, most } = WIDTH_PX;
  if (Number.isInteger(Number(text)) && Number(text) >= least && Number(text) <= most) return Number(text);
  throw new WrongCall(`--width "${text}" is no whole number of pixels from ${least} to ${most}`);
}

function readInput(path: string): Uint8Array {
  try {
    return readFileSync(path);
  } catch (error) {
    throw new WrongCall(`"${path}" cannot be read: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function readRules(text: string): unknown {
  if (!text.endsWith('.json')) return text;
  try {
    return JSON.parse(new TextDecoder().decode(readInput(text)));
  } catch (error) {
    if (error instanceof WrongCall) throw error;
    throw new WrongCall(`"${text}" is not JSON: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function readElevationFile(path: string | undefined, epsgText: string | undefined): ElevationFile | undefined {
  if (path === undefined) return undefined;
  const epsg = epsgText === undefined ? epsgBeside(path) : parseCrs(epsgText)?.crs.epsg;
  if (epsgText !== undefined && epsg === undefined)
    throw new WrongCall(`--elevation-epsg "${epsgText}": ${CRS_REMEDY}`);
  return { bytes: readInput(path), fileName: basename(path), ...(epsg !== undefined && { epsg }) };
}

/** An ASCII grid may have its system in a .prj file beside it. */
function epsgBeside(path: string): number | undefined {
  try {
    return crsByWkt(readFileSync(path.replace(/\.[^./]*$/, '.prj'), 'utf8'))?.epsg;
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return undefined;
    throw error;
  }
}

async function plan({ job, formats, folder, trace }: Options, { out, err }: Terminal): Promise<number> {
  if (formats.length > 0) makeFolder(folder);
  const task = { job, kernelBytes: readKernelBytes() };
  const made = await planInTime(task, trace ? traceInto(join(folder, 'trace')) : undefined);
  if (made.outcome === 'refused') {
    err(refusalText(made));
    return REFUSED;
  }
  out(planReport(made.plan, made.units));
  const papers = formats.some((format) => !('extension' in format));
  const handover = papers
    ? await handoverOf(made, (rules) => planInTime({ ...task, job: { ...job, rules } }))
    : undefined;
  if (handover !== undefined && 'outcome' in handover) {
    err(refusalText(handover));
    return REFUSED;
  }
  for (const format of formats) {
    const path = join(folder, format.fileName);
    const content = await contentOf(format, made, job, handover);
    if (content === undefined) err(`nothing written as ${format.id}: ${'needs' in format ? format.needs : ''}\n`);
    else {
      write(path, content);
      out(`wrote ${path}\n`);
    }
  }
  return made.plan.findings.some(({ severity }) => severity === 'stop') ? STOPPED : PLANNED;
}

/** The bytes of a file or paper; undefined where the plan has nothing for it. */
async function contentOf(
  format: (typeof HAND_OVERS)[number],
  { plan: planned, site }: MadePlan,
  { widthPx, siteCrs }: PlanJob,
  handover: Handover | undefined,
): Promise<string | Uint8Array | undefined> {
  if (!('extension' in format)) return handover === undefined ? undefined : format.write(handover);
  const crs = siteCrs === undefined ? undefined : parseCrs(siteCrs)?.crs;
  return format.write(planned, { elevation: site.elevation, crs, widthPx });
}

function traceInto(folder: string): (stageId: string, text: string) => void {
  makeFolder(folder);
  return (stageId, text) => write(join(folder, `${stageId}.json`), text);
}

function makeFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (error) {
    throw new WrongCall(
      `the folder "${folder}" cannot be made: ${error instanceof Error ? error.message : String(error)}`,
    );
  }
}

function write(path: string, content: string | Uint8Array): void {
  try {
    writeFileSync(path, content);
  } catch (error) {
    throw new WrongCall(`"${path}" cannot be written: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function refusalText({ detail, problems, more }: RefusedAnswer): string {
  const lines = problems.map(({ pointer, message }) => `  ${pointer || '(the whole file)'}: ${message}`);
  return `${[`Refused: ${detail}`, ...lines, ...(more > 0 ? [`  and ${more} more`] : [])].join('\n')}\n`;
}
