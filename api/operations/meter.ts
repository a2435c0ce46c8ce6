import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from 'prom-client';
import type { LogEvent } from '#api/app.ts';
import type { Planner } from '#api/plan/worker-pool.ts';

/** Counts what happens, for Prometheus. No figure says whose request it was. */
export type Meter = {
  /** Told every event that is logged. */
  readonly hear: (event: LogEvent) => void;
  /** All figures in the Prometheus text format 0.0.4. */
  readonly text: () => Promise<string>;
  readonly mediaType: string;
};

/** Seconds; a plan takes milliseconds to the limit of planning. */
const BUCKETS_S = [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 60];
const FAILURES = new Set(['failure', 'queue-failure', 'store-lost', 'store-unavailable']);

export function createMeter(planner: Pick<Planner, 'load'>): Meter {
  const registry = new Registry();
  const registers = [registry];
  collectDefaultMetrics({ register: registry });
  const requests = new Histogram({
    name: 'loopwright_request_duration_seconds',
    help: 'Time from a request to its answer, by route as the API document writes it.',
    labelNames: ['method', 'route', 'status'],
    buckets: BUCKETS_S,
    registers,
  });
  const jobs = new Counter({
    name: 'loopwright_jobs_total',
    help: 'Jobs that were worked on, by outcome; again = given back to be done again.',
    labelNames: ['process', 'outcome'],
    registers,
  });
  const failures = new Counter({
    name: 'loopwright_failures_total',
    help: 'Defects, and times that what is kept could not be reached.',
    labelNames: ['event'],
    registers,
  });
  new Gauge({
    name: 'loopwright_planning_seats',
    help: 'Workers that plan, requests that wait for one, and how many may exist of each.',
    labelNames: ['state'],
    registers,
    collect() {
      const { workers, busy, waiting, waitingMax } = planner.load();
      this.set({ state: 'workers' }, workers);
      this.set({ state: 'busy' }, busy);
      this.set({ state: 'waiting' }, waiting);
      this.set({ state: 'waiting_max' }, waitingMax);
    },
  });
  return {
    hear(event) {
      const name = String(event.event);
      if (name === 'request') {
        const labels = { method: String(event.method), route: String(event.route), status: String(event.status) };
        requests.observe(labels, Number(event.ms) / 1000);
      } else if (name === 'job') jobs.inc({ process: String(event.process), outcome: String(event.outcome) });
      else if (FAILURES.has(name)) failures.inc({ event: name });
    },
    text: () => registry.metrics(),
    mediaType: registry.contentType,
  };
}
