/** The one class used of pako 2.2, which ships no types. */
declare module 'pako' {
  export class Inflate {
    constructor(options: { chunkSize: number });
    push(data: Uint8Array, isLast: boolean): boolean;
    onData(chunk: Uint8Array): void;
    readonly err: number;
    readonly msg: string;
  }
}
