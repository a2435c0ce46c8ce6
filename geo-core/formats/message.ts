import { utf8 } from './utf8.ts';

/** Bytes of a protocol buffer message, field by field (Protocol Buffers encoding: wire types 0 varint, 1 eight bytes, 2 length and bytes). */
export class Message {
  readonly #bytes: number[] = [];

  /** Unsigned whole number up to 2^53. */
  varint(field: number, value: number): this {
    this.#push(field * 8, value);
    return this;
  }

  double(field: number, value: number): this {
    this.#push(field * 8 + 1);
    this.#bytes.push(...new Uint8Array(new Float64Array([value]).buffer));
    return this;
  }

  text(field: number, value: string): this {
    return this.#lengthAnd(field, utf8(value));
  }

  packed(field: number, values: readonly number[]): this {
    const inner = new Message();
    for (const value of values) inner.#push(value);
    return this.#lengthAnd(field, inner.#bytes);
  }

  message(field: number, inner: Message): this {
    return this.#lengthAnd(field, inner.#bytes);
  }

  bytes(): Uint8Array {
    return Uint8Array.from(this.#bytes);
  }

  #lengthAnd(field: number, bytes: readonly number[]): this {
    this.#push(field * 8 + 2, bytes.length);
    for (const byte of bytes) this.#bytes.push(byte);
    return this;
  }

  #push(...values: readonly number[]): void {
    for (let value of values) {
      for (; value >= 0x80; value = Math.floor(value / 0x80)) this.#bytes.push((value % 0x80) | 0x80);
      this.#bytes.push(value);
    }
  }
}
