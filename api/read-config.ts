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

type Environment = Readonly<Record<string, string | undefined>>;

/** Reads the settings from the environment; throws one line that quotes a value it cannot use. */
export function readConfig(environment: Environment, cores: number): Config {
  const whole = (name: string, standard: number, min: number, max: number): number => {
    const text = environment[name];
    if (text === undefined || text === '') return standard;
    const value = Number(text);
    if (Number.isInteger(value) && value >= min && value <= max) return value;
    throw new Error(`${name}="${text}" is not a whole number from ${min} to ${max}`);
  };
  const host = environment.HOST || '127.0.0.1';
  const workers = whole('LOOPWRIGHT_WORKERS', Math.max(1, cores - 1), 1, 256);
  return {
    host,
    port: whole('PORT', 8080, 0, 65_535),
    workers,
    queueMax: whole('LOOPWRIGHT_QUEUE_MAX', 16 * workers, 0, 10_000),
    workerMemoryMb: whole('LOOPWRIGHT_WORKER_MEMORY_MB', 1024, 64, 65_536),
    stopMs: 1000 * whole('LOOPWRIGHT_STOP_S', 25, 0, 3600),
    settings: {
      publicUrl: readPublicUrl(environment),
      auth: readAuth(environment, host),
      rateMax: whole('LOOPWRIGHT_RATE_MAX', 6_000, 1, 1_000_000),
      jobsMax: whole('LOOPWRIGHT_JOBS_MAX', 1_000, 1, 1_000_000),
      resultsKeptMs: 3_600_000 * whole('LOOPWRIGHT_RESULTS_H', 168, 1, 87_600),
      hasEcho: readEcho(environment),
      sitesMax: whole('LOOPWRIGHT_SITES_MAX', 100_000, 1, 100_000_000),
    },
    store: {
      dataFolder: environment.LOOPWRIGHT_DATA || '.data',
      databaseUrl: environment.DATABASE_URL || undefined,
    },
    limits: {
      bodyBytesMax: 1024 * 1024 * whole('LOOPWRIGHT_BODY_MAX_MB', 16, 1, 1024),
      featuresMax: whole('LOOPWRIGHT_FEATURES_MAX', 5_000, 1, 1_000_000),
      positionsMax: whole('LOOPWRIGHT_POSITIONS_MAX', 100_000, 1, 10_000_000),
      cellsMax: whole('LOOPWRIGHT_CELLS_MAX', 4_000_000, 1, 1_000_000_000),
      nestingMax: whole('LOOPWRIGHT_NESTING_MAX', 64, 8, 1000),
      planningMsMax: 1000 * whole('LOOPWRIGHT_PLANNING_MAX_S', 20, 1, 3600),
    },
  };
}

const LOOPBACK = /^(127\.\d+\.\d+\.\d+|::1|localhost)$/;

/** Nobody is asked for a key on the machine itself; whoever listens to the network asks for keys unless told otherwise. */
function readAuth({ LOOPWRIGHT_AUTH: text }: Environment, host: string): Settings['auth'] {
  if (text === undefined || text === '') return LOOPBACK.test(host) ? 'off' : 'keys';
  if (text === 'off' || text === 'keys') return text;
  throw new Error(`LOOPWRIGHT_AUTH="${text}" is neither off nor keys`);
}

function readEcho({ LOOPWRIGHT_ECHO: text }: Environment): boolean {
  if (text === undefined || text === '' || text === 'off') return false;
  if (text === 'on') return true;
  throw new Error(`LOOPWRIGHT_ECHO="${text}" is neither off nor on`);
}

function readPublicUrl({ LOOPWRIGHT_PUBLIC_URL: text }: Environment): string | undefined {
  if (text === undefined || text === '') return undefined;
  if (URL.canParse(text) && /^https?:$/.test(new URL(text).protocol)) return text.replace(/\/+$/, '');
  throw new Error(`LOOPWRIGHT_PUBLIC_URL="${text}" is no address of http or https`);
}
