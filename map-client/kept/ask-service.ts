/** The service answered with a problem (RFC 9457). */
export class ServiceProblem extends Error {
  override readonly name = 'ServiceProblem';
  readonly status: number;

  constructor(status: number, detail: string) {
    super(detail);
    this.status = status;
  }
}

const KEY = 'service-key';

/** The key for this tab; it goes with the tab. */
export function rememberKey(key: string): void {
  sessionStorage.setItem(KEY, key);
}

/** The key of this tab, for addresses of our own service and no other. */
export function keyHeaders(address: string): Record<string, string> {
  const key = sessionStorage.getItem(KEY);
  const isOurs = new URL(address, document.baseURI).origin === location.origin;
  return key === null || !isOurs ? {} : { authorization: `Bearer ${key}` };
}

/** Asks the service that the page came from, with the key of this tab where there is one. Throws a `ServiceProblem` for any answer that is none. */
export async function askService(path: string, init: RequestInit = {}): Promise<Response> {
  const address = new URL(`ogc/${path}`, document.baseURI);
  const headers = new Headers(init.headers);
  for (const [name, value] of Object.entries(keyHeaders(address.href))) headers.set(name, value);
  const answer = await fetch(address, { ...init, headers });
  if (answer.ok) return answer;
  throw new ServiceProblem(answer.status, await detailOf(answer));
}

async function detailOf(answer: Response): Promise<string> {
  const plain = `HTTP ${answer.status}`;
  if (!(answer.headers.get('content-type') ?? '').includes('json')) return plain;
  const { detail, errors }: { detail?: string; errors?: readonly { pointer: string; detail: string }[] } =
    await answer.json();
  const places = (errors ?? []).slice(0, 3).map((error) => `${error.pointer}: ${error.detail}`);
  return [detail ?? plain, ...places].join('; ');
}
