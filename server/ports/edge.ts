/** The only source of time: ms since epoch. */
export type Clock = { nowMs(): number };

/** A clock beside a reading that nobody can set: what the wall clock is compared with. */
export type SteadyClock = Clock & {
  /** ms since some fixed moment of this start of the computer; goes on while it sleeps, and is never set */
  elapsedMs(): number;
  /** which start of the computer that is: readings of another one cannot be compared */
  bootId(): string;
};

/** Calls back after a delay or at an interval; returns a function that stops it. */
export type Timers = {
  after(delayMs: number, run: () => void): () => void;
  every(intervalMs: number, run: () => void): () => void;
  soon(run: () => void): void;
};

export type LogFields = Readonly<Record<string, string | number | boolean | null>>;
export type Log = {
  info(message: string, fields?: LogFields): void;
  warn(message: string, fields?: LogFields): void;
  error(message: string, fields?: LogFields): void;
};

/** A message that came in at the broker, not yet decoded. */
export type RawMessage = {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly arrivedAtMs: number;
  /** true for a copy that the broker had retained: its arrival says nothing about its time */
  readonly retainedCopy: boolean;
  /** of a message of QoS 2: the handshake it belongs to */
  readonly handshake?: Handshake;
};

/** One delivery at QoS 2, which ends with its PUBREL: until then a repeat is the same message. */
export type Handshake = {
  /** client id and packet identifier */
  readonly key: string;
  /** digest of topic and payload: an identifier may be used again by a client that lost its session */
  readonly content: string;
  /** whether the message says, or its connection, that it may have come before */
  readonly mayRepeat: boolean;
};

/** Settles once the message is committed; rejects when it could not be, and must then not be acknowledged. */
export type Inbox = {
  offer(message: RawMessage): Promise<void>;
  /** a handshake ended: noted with the next commit */
  over(handshakeKey: string): void;
  /** messages that wait to be taken */
  waiting(): number;
};

/** Publishes the daemon's own retained topics. */
export type Bus = {
  publishRetained(topic: string, payload: string): void;
  connected(): boolean;
  close(): Promise<void>;
};

/** Small notes kept across restarts, by name. */
export type Keep = {
  read(name: string): string | null;
  write(name: string, text: string): void;
  remove(name: string): void;
};

/** A photo that lies on the disk and counts for nothing until it is kept. */
type StagedPhoto = {
  readonly name: string;
  /** Gives it its name. */
  keep(): void;
  /** Removes it, unless it was kept under this name before. */
  drop(): void;
};

/** Photos beside the record, by their names. */
export type PhotoFolder = {
  /** Writes a photo to the disk, whole or not at all. @throws Fault `store-failed` */
  stage(photo: { readonly bytes: Uint8Array; readonly type: 'jpg' | 'png' }): Promise<StagedPhoto>;
  /** The name that a photo has, by what it holds. */
  nameOf(photo: { readonly bytes: Uint8Array; readonly type: 'jpg' | 'png' }): string;
  has(name: string): boolean;
  /** null where there is none. @throws Fault `store-failed` when it cannot be read */
  read(name: string): Promise<Uint8Array | null>;
  /** The small picture of a photo; null where there is none. @throws Fault `store-failed` when it cannot be read */
  readSmall(name: string): Promise<Uint8Array | null>;
  /** Keeps a JPEG as the small picture of a photo. @throws Fault `store-failed` */
  keepSmall(name: string, bytes: Uint8Array): Promise<void>;
  /** Removes a photo with its small picture. */
  remove(name: string): void;
  /** Ends what an earlier process left staged: kept where an entry has it, else removed. */
  recover(isKept: (name: string) => boolean): void;
};

/** A device's connection to the broker, for devices that are simulated here. */
export type DevicePublisher = {
  publish(topic: string, payload: string): Promise<void>;
  close(): Promise<void>;
};

/** Disk space held back, so that alarms can still be written when the disk is full. */
export type Reserve = {
  giveUp(): void;
  /**
   * Holds it back again where there is space for it.
   * @returns whether the disk has space beyond it
   */
  restore(): boolean;
  /** bytes held back now, 0 where none are, how many are wanted, and whether they were given up for want of space */
  facts(): { readonly bytes: number; readonly wantedBytes: number; readonly givenUp: boolean };
};
