import { describe, expect, it } from 'vitest';
import { readConfig } from '#api/read-config.ts';

describe('read config', () => {
  it('needs nothing set', () => {
    expect(readConfig({}, 8)).toMatchObject({ host: '127.0.0.1', port: 8080, workers: 7, queueMax: 112 });
    expect(readConfig({}, 8).settings).toMatchObject({ hasEcho: false, jobsMax: 1000, resultsKeptMs: 604_800_000 });
    expect(readConfig({ PORT: '', HOST: '' }, 1)).toMatchObject({ host: '127.0.0.1', port: 8080, workers: 1 });
  });

  it('takes what is set', () => {
    const environment = { HOST: '0.0.0.0', PORT: '0', LOOPWRIGHT_WORKERS: '3', LOOPWRIGHT_PLANNING_MAX_S: '5' };
    expect(readConfig(environment, 8)).toMatchObject({
      host: '0.0.0.0',
      port: 0,
      workers: 3,
      limits: { planningMsMax: 5000 },
    });
  });

  it('offers the echo where it is switched on, and knows no third word', () => {
    expect(readConfig({ LOOPWRIGHT_ECHO: 'on' }, 1).settings.hasEcho).toBe(true);
    expect(() => readConfig({ LOOPWRIGHT_ECHO: 'yes' }, 1)).toThrow('LOOPWRIGHT_ECHO="yes" is neither off nor on');
  });

  it.each([
    ['PORT', '80a'],
    ['PORT', '65536'],
    ['LOOPWRIGHT_WORKERS', '0'],
    ['LOOPWRIGHT_WORKERS', '1.5'],
    ['LOOPWRIGHT_BODY_MAX_MB', '-1'],
  ])('refuses %s=%s in one line that quotes it', (name, value) => {
    expect(() => readConfig({ [name]: value }, 4)).toThrow(`${name}="${value}" is not a whole number from`);
  });

  it('knows every name that begins like its own: a lock that is spelled wrong would be no lock', () => {
    expect(() => readConfig({ LOOPWRIGHT_AUHT: 'keys' }, 1)).toThrow(
      /^LOOPWRIGHT_AUHT is no setting of this service; known are .*LOOPWRIGHT_AUTH/,
    );
    expect(readConfig({ LOOPWRIGHT_PROPERTY_CASES: '10' }, 1).port).toBe(8080);
  });
});
