/** Limits on what one request may ask for. Every one is said in the answer when it is hit. */
export type Limits = {
  /** Bytes of a body, after decompression. */
  readonly bodyBytesMax: number;
  readonly featuresMax: number;
  readonly positionsMax: number;
  /** Cells of an elevation grid. */
  readonly cellsMax: number;
  /** How deep lists and objects of a JSON body may nest. */
  readonly nestingMax: number;
  readonly planningMsMax: number;
  /** How long one stream of sites may go on. */
  readonly streamMsMax: number;
  /** Streams of sites at once. */
  readonly streamsMax: number;
};

/** How the service presents itself, and to whom. */
export type Settings = {
  /** Address that clients use, without a slash at its end; undefined = the one they called. */
  readonly publicUrl: string | undefined;
  /** `keys`: nothing that is kept is shown or changed without a key. */
  readonly auth: 'off' | 'keys';
  /** Requests a minute with one key. */
  readonly rateMax: number;
  /** Sites of one firm. */
  readonly sitesMax: number;
  /** Jobs of one firm that are kept, ended or not. */
  readonly jobsMax: number;
  /** How long a job and its results are kept once it has ended. */
  readonly resultsKeptMs: number;
  /** Whether the process is offered that only gives back its inputs: for checking clients. */
  readonly hasEcho: boolean;
  /** Whether `/metrics` is there. */
  readonly hasMetrics: boolean;
};

export type Config = {
  readonly host: string;
  readonly port: number;
  readonly workers: number;
  /** Requests that may wait for a worker. */
  readonly queueMax: number;
  /** Memory of one worker. */
  readonly workerMemoryMb: number;
  /** How long running requests may go on after a signal to stop. */
  readonly stopMs: number;
  readonly limits: Limits;
  readonly settings: Settings;
  readonly store: { readonly dataFolder: string; readonly databaseUrl: string | undefined };
};

export type Environment = Readonly<Record<string, string | undefined>>;

/** Every whole number that can be set, with what it is where it is not, and its bounds. */
export const NUMBER_SETTINGS = {
  PORT: { standard: 8080, min: 0, max: 65_535 },
  LOOPWRIGHT_WORKERS: { standard: undefined, min: 1, max: 256 },
  LOOPWRIGHT_QUEUE_MAX: { standard: undefined, min: 0, max: 10_000 },
  LOOPWRIGHT_WORKER_MEMORY_MB: { standard: 1024, min: 64, max: 65_536 },
  LOOPWRIGHT_STOP_S: { standard: 25, min: 0, max: 3600 },
  LOOPWRIGHT_RATE_MAX: { standard: 6_000, min: 1, max: 1_000_000 },
  LOOPWRIGHT_SITES_MAX: { standard: 100_000, min: 1, max: 100_000_000 },
  LOOPWRIGHT_JOBS_MAX: { standard: 1_000, min: 1, max: 1_000_000 },
  LOOPWRIGHT_RESULTS_H: { standard: 168, min: 1, max: 87_600 },
  LOOPWRIGHT_BODY_MAX_MB: { standard: 16, min: 1, max: 1024 },
  LOOPWRIGHT_FEATURES_MAX: { standard: 5_000, min: 1, max: 1_000_000 },
  LOOPWRIGHT_POSITIONS_MAX: { standard: 100_000, min: 1, max: 10_000_000 },
  LOOPWRIGHT_CELLS_MAX: { standard: 4_000_000, min: 1, max: 1_000_000_000 },
  LOOPWRIGHT_NESTING_MAX: { standard: 64, min: 8, max: 1000 },
  LOOPWRIGHT_PLANNING_MAX_S: { standard: 20, min: 1, max: 3600 },
  LOOPWRIGHT_STREAM_MAX_S: { standard: 21_600, min: 1, max: 604_800 },
  LOOPWRIGHT_STREAMS_MAX: { standard: 4, min: 1, max: 1000 },
} as const satisfies Readonly<Record<string, NumberSetting>>;

/** `standard` is undefined where it depends on the machine. */
type NumberSetting = { readonly standard: number | undefined; readonly min: number; readonly max: number };

/** Everything else that can be set. */
export const OTHER_SETTINGS = [
  'HOST',
  'DATABASE_URL',
  'LOOPWRIGHT_DATA',
  'LOOPWRIGHT_PUBLIC_URL',
  'LOOPWRIGHT_AUTH',
  'LOOPWRIGHT_ECHO',
  'LOOPWRIGHT_METRICS',
] as const;

/** Reads the settings from the environment; throws one line that quotes a value it cannot use, or a name that it does not know. */
export function readConfig(environment: Environment, cores: number): Config {
  refuseUnknown(environment);
  const whole = (name: keyof typeof NUMBER_SETTINGS, ofMachine = 0): number => {
    const { standard = ofMachine, min, max }: NumberSetting = NUMBER_SETTINGS[name];
    const text = environment[name];
    if (text === undefined || text === '') return standard;
    const value = Number(text);
    if (Number.isInteger(value) && value >= min && value <= max) return value;
    throw new Error(`${name}="${text}" is not a whole number from ${min} to ${max}`);
  };
  const host = environment.HOST || '127.0.0.1';
  const isLocal = LOOPBACK.test(host);
  const workers = whole('LOOPWRIGHT_WORKERS', Math.max(1, cores - 1));
  return {
    host,
    port: whole('PORT'),
    workers,
    queueMax: whole('LOOPWRIGHT_QUEUE_MAX', 16 * workers),
    workerMemoryMb: whole('LOOPWRIGHT_WORKER_MEMORY_MB'),
    stopMs: 1000 * whole('LOOPWRIGHT_STOP_S'),
    settings: {
      publicUrl: readPublicUrl(environment),
      // Nobody is asked for a key on the machine itself; whoever listens to the network asks for keys unless told otherwise.
      auth: oneOf(environment, 'LOOPWRIGHT_AUTH', ['off', 'keys'], isLocal ? 'off' : 'keys'),
      rateMax: whole('LOOPWRIGHT_RATE_MAX'),
      jobsMax: whole('LOOPWRIGHT_JOBS_MAX'),
      resultsKeptMs: 3_600_000 * whole('LOOPWRIGHT_RESULTS_H'),
      hasEcho: oneOf(environment, 'LOOPWRIGHT_ECHO', ['off', 'on'], 'off') === 'on',
      hasMetrics: oneOf(environment, 'LOOPWRIGHT_METRICS', ['off', 'on'], isLocal ? 'on' : 'off') === 'on',
      sitesMax: whole('LOOPWRIGHT_SITES_MAX'),
    },
    store: {
      dataFolder: environment.LOOPWRIGHT_DATA || '.data',
      databaseUrl: environment.DATABASE_URL || undefined,
    },
    limits: {
      bodyBytesMax: 1024 * 1024 * whole('LOOPWRIGHT_BODY_MAX_MB'),
      featuresMax: whole('LOOPWRIGHT_FEATURES_MAX'),
      positionsMax: whole('LOOPWRIGHT_POSITIONS_MAX'),
      cellsMax: whole('LOOPWRIGHT_CELLS_MAX'),
      nestingMax: whole('LOOPWRIGHT_NESTING_MAX'),
      planningMsMax: 1000 * whole('LOOPWRIGHT_PLANNING_MAX_S'),
      streamMsMax: 1000 * whole('LOOPWRIGHT_STREAM_MAX_S'),
      streamsMax: whole('LOOPWRIGHT_STREAMS_MAX'),
    },
  };
}

const LOOPBACK = /^(127\.\d+\.\d+\.\d+|::1|localhost)$/;
const OURS = /^LOOPWRIGHT_(?!PROPERTY_)/;

/** A limit or a lock that is spelled wrong would be no limit and no lock. */
function refuseUnknown(environment: Environment): void {
  const known = new Set<string>([...Object.keys(NUMBER_SETTINGS), ...OTHER_SETTINGS]);
  const unknown = Object.keys(environment).find((name) => OURS.test(name) && !known.has(name));
  if (unknown === undefined) return;
  const list = [...known].filter((name) => OURS.test(name)).join(', ');
  throw new Error(`${unknown} is no setting of this service; known are ${list}`);
}

function oneOf<const Word extends string>(
  environment: Environment,
  name: (typeof OTHER_SETTINGS)[number],
  words: readonly [Word, Word],
  standard: Word,
): Word {
  const text = environment[name];
  if (text === undefined || text === '') return standard;
  const word = words.find((known) => known === text);
  if (word !== undefined) return word;
  throw new Error(`${name}="${text}" is neither ${words[0]} nor ${words[1]}`);
}

function readPublicUrl({ LOOPWRIGHT_PUBLIC_URL: text }: Environment): string | undefined {
  if (text === undefined || text === '') return undefined;
  if (URL.canParse(text) && /^https?:$/.test(new URL(text).protocol)) return text.replace(/\/+$/, '');
  throw new Error(`LOOPWRIGHT_PUBLIC_URL="${text}" is no address of http or https`);
}
