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
  const workers = whole('LOOPWRIGHT_WORKERS', Math.max(1, cores - 1), 1, 256);
  return {
    host: environment.HOST || '127.0.0.1',
    port: whole('PORT', 8080, 0, 65_535),
    workers,
    queueMax: whole('LOOPWRIGHT_QUEUE_MAX', 16 * workers, 0, 10_000),
    workerMemoryMb: whole('LOOPWRIGHT_WORKER_MEMORY_MB', 1024, 64, 65_536),
    stopMs: 1000 * whole('LOOPWRIGHT_STOP_S', 25, 0, 3600),
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
