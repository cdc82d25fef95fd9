import type { Socket } from 'node:net';
import { Duplex } from 'node:stream';
import type { Limits } from '../../domain/limits/table.ts';
import { createFraming, type FrameFault } from './framing.ts';
import type { Valve } from './valve.ts';

type LineDeps = {
  /** the connection, decrypted */
  readonly socket: Socket;
  readonly limits: Limits;
  readonly valve: Valve;
  readonly refused: (why: FrameFault) => void;
};

/**
 * A client's connection as the broker sees it: whole packets within the limits, at most so many in hand. Until the
 * client has logged in only its CONNECT comes through, and what it sent after that waits; nothing is read while too
 * many messages wait for their commit. What is sent waits here, and is counted.
 */
export class Line extends Duplex {
  readonly remoteAddress: string;
  readonly #deps: LineDeps;
  readonly #framing = createFraming();
  #rest: Buffer | null = null;
  #wanted = false;
  #asked = false;
  #loggedIn = false;
  #ended = false;
  #parked = false;

  constructor(deps: LineDeps) {
    // one batch of packets at a time: the next is cut when this one was accepted
    super({ readableHighWaterMark: 1, writableHighWaterMark: deps.limits.mqttUnsentBytes });
    this.#deps = deps;
    const { socket, limits } = deps;
    this.remoteAddress = socket.remoteAddress ?? '';
    socket.setKeepAlive(true, limits.tcpKeepAliveMs);
    socket.setNoDelay(true);
    socket.on('data', (chunk: Buffer) => {
      this.#rest = this.#rest === null ? chunk : Buffer.concat([this.#rest, chunk]);
      this.#work();
    });
    socket.pause();
    socket.on('end', () => {
      this.#ended = true;
      this.#work();
    });
    socket.on('error', (cause) => this.destroy(cause));
    socket.on('close', (failed: boolean) => {
      // who sent its last messages and left is still taken at its word
      if (failed || this.#rest === null || !this.#loggedIn) this.destroy();
    });
  }

  /** Bytes that wait for the client to read them. */
  unsent(): number {
    return this.writableLength;
  }

  /** From now on the client is known, and its packets are accepted. */
  logIn(): void {
    this.#loggedIn = true;
    this.#work();
  }

  override _read(): void {
    this.#wanted = true;
    this.#work();
  }

  override _write(chunk: Buffer, encoding: BufferEncoding, done: (cause?: Error | null) => void): void {
    this.#deps.socket.write(chunk, encoding, done);
  }

  override _writev(chunks: { chunk: Buffer }[], done: (cause?: Error | null) => void): void {
    const { socket } = this.#deps;
    const last = chunks.length - 1;
    socket.cork();
    for (const [index, { chunk }] of chunks.entries()) {
      if (index === last) socket.write(chunk, done);
      else socket.write(chunk);
    }
    socket.uncork();
  }

  override _final(done: (cause?: Error | null) => void): void {
    this.#deps.socket.end(() => done());
  }

  override _destroy(cause: Error | null, done: (cause?: Error | null) => void): void {
    this.#rest = null;
    this.#deps.socket.destroy();
    done(cause);
  }

  #work(): void {
    const { socket } = this.#deps;
    if (this.#mayRead()) socket.resume();
    else socket.pause();
  }

  /** Hands over what came. @returns whether more is wanted of the socket */
  #mayRead(): boolean {
    if (this.destroyed || !this.#wanted || (this.#asked && !this.#loggedIn)) return false;
    if (this.#deps.valve.isShut()) return this.#park();
    while (this.#rest !== null && this.#wanted) if (!this.#cut(this.#rest)) return false;
    if (!this.#wanted) return false;
    if (this.#ended) this.push(null);
    return !this.#ended;
  }

  #park(): false {
    if (this.#parked) return false;
    this.#parked = true;
    this.#deps.valve.wait(() => {
      this.#parked = false;
      this.#work();
    });
    return false;
  }

  /** Hands over what is whole. @returns whether to go on */
  #cut(chunk: Buffer): boolean {
    const { limits, refused } = this.#deps;
    const taken = this.#framing.take(chunk, {
      bytes: this.#loggedIn ? limits.mqttPacketBytes : limits.mqttConnectBytes,
      packets: this.#loggedIn ? limits.mqttPacketsAtOnce : 1,
      connect: !this.#loggedIn,
    });
    if (taken.fault !== null) {
      refused(taken.fault);
      this.destroy();
      return false;
    }
    this.#rest = taken.used < chunk.length ? chunk.subarray(taken.used) : null;
    if (taken.whole === null) return true;
    this.#wanted = false;
    this.#asked = true;
    this.push(taken.whole);
    return this.#loggedIn;
  }
}
