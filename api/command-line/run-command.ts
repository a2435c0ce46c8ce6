import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { parseArgs } from 'node:util';
import { CRS_REMEDY, parseCrs } from '#api/contract/parse-crs.ts';
import type { ElevationFile, PlanJob, RefusedAnswer } from '#api/plan/plan-job.ts';
import { readConfig } from '#api/read-config.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';
import { crsByWkt, FORMATS } from '#geo-core/index.ts';
import { planInTime } from './plan-in-time.ts';
import { planReport } from './plan-report.ts';

const HELP = `Plans one site and prints what the crew needs to know.

  npm run plan -- site.geojson [options]

  --elevation FILE        ground heights: GeoTIFF, ESRI ASCII grid or CoverageJSON
  --elevation-epsg CODE   its coordinate system, where the file does not say it
  --rules NAME|FILE.json  rule set, or overrides as JSON, instead of what the site says
  --crs EPSG:CODE         coordinate system of the site, where it is not WGS 84
  --units metric|us       units of the printed figures
  --formats LIST          files to write, of ${FORMATS.map(({ id }) => id).join(', ')} (default geojson with --out)
  --out FOLDER            where to (default: out, where something is to be written)
  --limit-s SECONDS       longest time for the plan (default 20, or LOOPWRIGHT_PLANNING_MAX_S)
  --trace                 write what every stage made to FOLDER/trace
  --help                  this text

Exit codes: 0 planned, 2 wrong call or unreadable file, 3 site refused or out of time, 4 planned but something says stop, 1 defect.
`;

const PLANNED = 0;
const WRONG_CALL = 2;
const REFUSED = 3;
const STOPPED = 4;
/** A day: timers hold little more than three weeks. */
const LIMIT_S_MAX = 86_400;

/** Said in one line on standard error; nothing of ours is wrong. */
class WrongCall extends Error {}

/** Where a command writes to, and what it may know of the world. */
export type Terminal = {
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  readonly environment: Readonly<Record<string, string | undefined>>;
};

/** Runs one command with its arguments; returns its exit code (see HELP). Throws only for defects of ours. */
export async function runCommand(args: readonly string[], terminal: Terminal): Promise<number> {
  try {
    const options = readOptions(args, terminal);
    if (options !== 'help') return await plan(options, terminal);
    terminal.out(HELP);
    return PLANNED;
  } catch (error) {
    if (!(error instanceof WrongCall)) throw error;
    terminal.err(`${error.message}\n`);
    return WRONG_CALL;
  }
}

type Options = {
  readonly job: PlanJob;
  readonly formats: readonly (typeof FORMATS)[number][];
  readonly folder: string;
  readonly trace: boolean;
};

function readOptions(args: readonly string[], { environment }: Terminal): Options | 'help' {
  const { values, positionals } = parsed(args);
  if (values.help || args.length === 0) return 'help';
  const [command, sitePath, ...rest] = positionals;
  if (command !== 'plan') throw new WrongCall(`"${command ?? ''}" is no command; known are plan (--help tells more)`);
  if (sitePath === undefined || rest.length > 0) throw new WrongCall('name one site file (--help tells more)');
  const ids = values.formats?.split(',') ?? (values.out === undefined ? [] : ['geojson']);
  const formats = ids.map((id) => {
    const format = FORMATS.find((known) => known.id === id.trim());
    if (format !== undefined) return format;
    throw new WrongCall(
      `--formats "${id}" is not written here; known are ${FORMATS.map((known) => known.id).join(', ')}`,
    );
  });
  if (values.crs !== undefined && parseCrs(values.crs) === undefined)
    throw new WrongCall(`--crs "${values.crs}": ${CRS_REMEDY}`);
  const units = (['metric', 'us'] as const).find((known) => known === values.units);
  if (values.units !== undefined && units === undefined)
    throw new WrongCall(`--units "${values.units}" is not metric or us`);
  const elevation = readElevationFile(values.elevation, values['elevation-epsg']);
  return {
    job: {
      site: readInput(sitePath),
      ...(elevation !== undefined && { elevation }),
      ...(values.rules !== undefined && { rules: readRules(values.rules) }),
      ...(values.crs !== undefined && { siteCrs: values.crs }),
      ...(units !== undefined && { units }),
      format: 'geojson',
      limits: limitsFor(values['limit-s'], environment),
    },
    formats,
    folder: values.out ?? 'out',
    trace: values.trace,
  };
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
        out: { type: 'string' },
        'limit-s': { type: 'string' },
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
  for (const format of formats) {
    const path = join(folder, `plan.${format.extension}`);
    write(path, format.write(made.plan));
    out(`wrote ${path}\n`);
  }
  return made.plan.findings.some(({ severity }) => severity === 'stop') ? STOPPED : PLANNED;
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
