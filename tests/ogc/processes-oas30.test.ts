import { describe, expect, it } from 'vitest';
import { useKeptService } from '../support/kept-service.ts';

/** OGC 18-062r2, class oas30. That the document is valid is proven with Features; every answer of these tests is held against it. */
const service = useKeptService();

describe('the API document', () => {
  it('/req/oas30/completeness: has every resource of processes and jobs, with its methods and statuses', async () => {
    const { paths, components } = await (await service().request('/ogc/api')).json();
    const said = (path: string) =>
      Object.entries<{ responses: object }>(paths[path]).map(([method, { responses }]) => [
        method,
        Object.keys(responses),
      ]);
    expect(said('/processes')).toEqual([['get', ['200', 'default']]]);
    expect(said('/processes/{processId}')).toEqual([['get', ['200', 'default']]]);
    expect(said('/processes/{processId}/execution')).toEqual([['post', ['200', '201', 'default']]]);
    expect(said('/jobs')).toEqual([['get', ['200', 'default']]]);
    expect(said('/jobs/{jobId}')).toEqual([
      ['get', ['200', 'default']],
      ['delete', ['200', 'default']],
    ]);
    expect(said('/jobs/{jobId}/results')).toEqual([['get', ['200', 'default']]]);
    for (const name of ['processList', 'process', 'execute', 'jobList', 'statusInfo'])
      expect(components.schemas).toHaveProperty(name);
  });

  it('/req/oas30/exceptions-codes: says that what is not answered comes as a problem', async () => {
    const { paths } = await (await service().request('/ogc/api')).json();
    expect(paths['/jobs/{jobId}'].get.responses.default).toEqual({ $ref: '#/components/responses/Problem' });
  });
});
