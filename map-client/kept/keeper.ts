import type { Say, Words } from '../wording/words.ts';
import { rememberKey, ServiceProblem } from './ask-service.ts';
import {
  type Heights,
  type KeptName,
  type KeptSite,
  listKept,
  type ReadSite,
  readKept,
  writeKept,
} from './kept-sites.ts';

export type KeepingState = {
  /** The garden on the sheet, where the service keeps it. */
  readonly site: KeptSite | null;
  /** Gardens that the service keeps, newest first; null as long as nobody asked. */
  readonly names: readonly KeptName[] | null;
  readonly status: 'idle' | 'asking' | 'conflict' | 'key';
  /** What happened last, in words. */
  readonly said: string;
};

export const NOTHING_KEPT: KeepingState = { site: null, names: null, status: 'idle', said: '' };

export type KeepingActions = {
  readonly list: () => void;
  readonly open: (id: string) => void;
  readonly keep: () => void;
  readonly takeTheirs: () => void;
  readonly keepBeside: () => void;
  readonly keepOver: () => void;
  readonly giveKey: (key: string) => void;
};

export type KeeperWorld = {
  readonly get: () => KeepingState;
  readonly set: (state: KeepingState) => void;
  /** The garden on the sheet. */
  readonly present: () => { readonly text: string; readonly elevation: Heights | null } | undefined;
  /** Lays a garden on the sheet. */
  readonly show: (site: ReadSite) => Promise<void>;
  /** Is told when the garden on the sheet is safe. */
  readonly kept: () => void;
  readonly now: () => Date;
  readonly words: () => Words;
};

const [UNAUTHORIZED, FORBIDDEN, CONFLICT, CHANGED] = [401, 403, 409, 412];

/** Keeps gardens with the service, so that two people cannot write over each other unnoticed. */
export function createKeeper({ get, set, present, show, kept: tellKept, now, words }: KeeperWorld): KeepingActions {
  /** What was tried when the service wanted a key. */
  let again: (() => void) | undefined;

  function attempt(work: () => Promise<Partial<KeepingState>>): void {
    set({ ...get(), status: 'asking', said: '' });
    work().then(
      (change) => set({ ...get(), status: 'idle', ...change }),
      (error: unknown) => {
        const status = error instanceof ServiceProblem ? error.status : undefined;
        const said = error instanceof Error ? error.message : String(error);
        if (status === CONFLICT || status === CHANGED) {
          const happened = status === CHANGED ? words().say('keep.changedMeanwhile') : words().say('keep.idTaken');
          set({ ...get(), status: 'conflict', said: happened });
        } else if (status === UNAUTHORIZED || status === FORBIDDEN) {
          again = () => attempt(work);
          set({ ...get(), status: 'key', said });
        } else set({ ...get(), status: 'idle', said: words().say('keep.notDone', { why: said }) });
      },
    );
  }

  async function open(id: string): Promise<Partial<KeepingState>> {
    const site = await readKept(id);
    set({ ...get(), site: site.kept });
    await show(site);
    return { said: '' };
  }

  async function write(
    kept: KeptSite | null,
    over: boolean,
    change: (text: string) => string,
  ): Promise<Partial<KeepingState>> {
    const garden = present();
    if (garden === undefined) return {};
    const site = await writeKept(change(garden.text), garden.elevation, kept, over);
    tellKept();
    const time = new Intl.DateTimeFormat(words().locale, { timeStyle: 'medium' }).format(now());
    return { site, names: await listKept(), said: words().say('keep.keptAt', { time }) };
  }

  const asItIs = (text: string): string => text;
  const theirId = (): string | undefined => get().site?.id ?? idOf(present()?.text);
  return {
    list: () => attempt(async () => ({ names: await listKept() })),
    open: (id) => attempt(() => open(id)),
    keep: () => attempt(() => write(get().site, false, asItIs)),
    takeTheirs() {
      const id = theirId();
      if (id !== undefined) attempt(() => open(id));
    },
    keepBeside: () => attempt(() => write(null, false, (text) => withoutId(text, words().say))),
    keepOver: () => attempt(() => write(get().site, true, asItIs)),
    giveKey(key) {
      rememberKey(key);
      again?.();
    },
  };
}

function idOf(text: string | undefined): string | undefined {
  if (text === undefined) return undefined;
  const { id }: { id?: unknown } = JSON.parse(text);
  return typeof id === 'string' ? id : undefined;
}

/** A garden of its own: the features' ids go with it, for they belong to the other. */
function withoutId(text: string, say: Say): string {
  const {
    id,
    name,
    features,
    ...site
  }: { id?: unknown; name?: unknown; features: readonly Record<string, unknown>[] } = JSON.parse(text);
  const copies = features.map(({ id: _, ...feature }) => feature);
  const title = typeof name === 'string' ? name : typeof id === 'string' ? id : say('choose.garden');
  return JSON.stringify({ ...site, name: say('keep.besideName', { name: title }), features: copies });
}
