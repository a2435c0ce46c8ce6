/** What a statement may be given. */
export type SqlValue = string | number | null | Uint8Array;

/** What a database gives back: columns by name. */
export type Row = Readonly<Record<string, unknown>>;

export type Statement = {
  /** In the SQL that both dialects share, with `?` for values. */
  readonly sql: string;
  readonly values?: readonly SqlValue[];
  /** Where this touches no row, nothing of the whole list is written. It must end in `returning`. */
  readonly mustTouch?: boolean;
};

/**
 * Where the service keeps what it is given: SQLite in a file of its own, or PostgreSQL. Everything above it is written once, in plain
 * SQL. There are no open-ended transactions: what belongs together goes into one list of statements.
 */
export interface Database {
  readonly dialect: 'sqlite' | 'postgres';
  read(sql: string, values?: readonly SqlValue[]): Promise<readonly Row[]>;
  /** All statements or none; the rows each returned, or undefined where one that must touch a row touched none. */
  write(statements: readonly Statement[]): Promise<readonly (readonly Row[])[] | undefined>;
  /** Throws what is wrong where what is kept no longer hangs together. */
  check(): Promise<void>;
  close(): Promise<void>;
}

/** Text of a column; throws where it is none, which is a defect of ours. */
export function textOf(row: Row, column: string): string {
  const value = row[column];
  if (typeof value === 'string') return value;
  throw new Error(`column ${column} holds no text`);
}

export function textOrNull(row: Row, column: string): string | null {
  return row[column] === null ? null : textOf(row, column);
}

export function numberOf(row: Row, column: string): number {
  const value = row[column];
  if (typeof value === 'number') return value;
  throw new Error(`column ${column} holds no number`);
}

export function numberOrNull(row: Row, column: string): number | null {
  return row[column] === null ? null : numberOf(row, column);
}

/** SQLite hands bytes over as an ArrayBuffer, PostgreSQL as a Buffer. */
export function bytesOf(row: Row, column: string): Uint8Array<ArrayBuffer> {
  const value = row[column];
  if (value instanceof Uint8Array) return Uint8Array.from(value);
  if (value instanceof ArrayBuffer) return new Uint8Array(value);
  throw new Error(`column ${column} holds no bytes`);
}
