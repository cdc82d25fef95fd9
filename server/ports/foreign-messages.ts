import type { Mapping, NewMapping } from '../../shared/model/probes/mapping.ts';
import type {
  ListenAnswer,
  MappingsAnswer,
  MappingView,
  TryAnswer,
  UnreadAnswer,
  WatchAnswer,
} from '../../shared/wire/probes/foreign-messages.ts';
import type { RawMessage } from './edge.ts';

/** How foreign messages are read, as it is kept. */
export type Mappings = {
  all(): Mapping[];
  add(mapping: NewMapping): Mapping;
  /** @returns false when there is no such mapping */
  update(mapping: Mapping): boolean;
  remove(id: number): boolean;
};

/** A message on a topic that nothing here reads, and who sent it, where that is known. */
export type UnreadMessage = {
  readonly message: RawMessage;
  readonly clientId: string | null;
  readonly device: string | null;
  readonly address: string | null;
  /** whether some other client is subscribed to the topic */
  readonly isSubscribed: boolean;
};

/** What the embedded broker asks about topics that are none of the contract's. */
export type ForeignGateway = {
  /** Whether a mapping reads the topic. */
  takes(topic: string): boolean;
  /** The device for which a mapping reads messages of the topic, or null. */
  speaksFor(topic: string): string | null;
  /** Whether who logged in may publish there: a mapping reads it, or somebody listens to it. */
  mayPublish(topic: string): boolean;
  /** Called with every message on such a topic. */
  observe(message: RawMessage): void;
  /** Notes a message on a topic that nothing reads: it may be misspelt. */
  unread(message: UnreadMessage): void;
};

/** Listens at the broker beside the daemon; settles with what ends it. Rejects when the broker cannot be listened to. */
export type ListenAt = (
  filter: string,
  received: (message: RawMessage) => void,
) => Promise<() => Promise<void>>;

/** What is received while somebody watches, and how foreign messages are read. */
export type ForeignMessages = {
  /** Notes messages from now on, for two minutes after the last time this was said. */
  watch(): WatchAnswer;
  watched(query: { afterId: number }): WatchAnswer;
  mappings(): MappingsAnswer;
  /** @throws Fault `bad-request` for a topic that another mapping reads */
  addMapping(mapping: NewMapping): MappingView;
  /** @throws Fault `not-found`, `bad-request` */
  updateMapping(id: number, mapping: NewMapping): MappingView;
  /** @throws Fault `not-found` */
  removeMapping(id: number): void;
  /** Receives foreign messages for two minutes; what was received before is forgotten. @throws Fault `bad-request` */
  listen(filter: string): Promise<ListenAnswer>;
  stopListening(): ListenAnswer;
  captured(): ListenAnswer;
  /** Topics that nothing reads, with the nearest right one. */
  unreadTopics(): UnreadAnswer;
  /** What a mapping would make of a message that was received. @throws Fault `not-found` */
  tryOut(tried: { mapping: NewMapping; heard: number }): TryAnswer;
};
