/** One limit on what comes from the network. */
type Limit = {
  readonly value: number;
  readonly unit:
    | 'bytes'
    | 'ms'
    | 'connections'
    | 'subscriptions'
    | 'levels'
    | 'messages'
    | 'topics'
    | 'lines';
  readonly reason: string;
};

const KIB = 1024;
const MIB = 1024 * KIB;
const MINUTE_MS = 60_000;

/**
 * Every limit on what others may take of this machine over the network: the broker, the page and its websockets.
 * None is a setting: what a hostile client may take does not depend on the installation. The two that do, how many
 * connections there is room for, follow the file descriptors the process was given (see `budget.ts`).
 */
export const LIMIT_TABLE = {
  mqttConnectBytes: {
    value: 4 * KIB,
    unit: 'bytes',
    reason: 'the CONNECT packet, Will included; all that somebody unknown may have gathered here',
  },
  mqttPacketBytes: {
    value: 70_000,
    unit: 'bytes',
    reason: 'a packet after CONNECT: the largest pack of readings (64 KiB) and its topic',
  },
  mqttPacketsAtOnce: {
    value: 100,
    unit: 'messages',
    reason: 'packets of one client in hand; its next bytes are read when these are dealt with',
  },
  mqttConnectWithinMs: {
    value: 10_000,
    unit: 'ms',
    reason: 'from the connection to CONNACK, a TLS handshake included; the slowest radio links need 3 s',
  },
  mqttPendingInAll: {
    value: 256,
    unit: 'connections',
    reason: 'connections that have not logged in yet; the one that has waited longest makes room',
  },
  mqttPendingPerAddress: {
    value: 64,
    unit: 'connections',
    reason: 'the same from one address: 24 benches behind one router after a power cut fit twice',
  },
  mqttClientsInAll: {
    value: 1_000,
    unit: 'connections',
    reason: 'clients that have logged in: about 0.1 MB each',
  },
  mqttSharedClientsInAll: {
    value: 600,
    unit: 'connections',
    reason: 'of these, clients without a login of their own; the rest is kept for devices with one',
  },
  mqttSharedClientsPerAddress: {
    value: 200,
    unit: 'connections',
    reason: 'the same from one address, so that one machine cannot take all',
  },
  mqttConnectionsPerDevice: {
    value: 4,
    unit: 'connections',
    reason:
      'of one device with a login of its own: the device, its predecessor half open, and a tool beside it',
  },
  mqttUnsentBytes: {
    value: 512 * KIB,
    unit: 'bytes',
    reason: 'waiting for a subscriber that reads slowly; a new message beyond that cuts it off',
  },
  mqttUnsentHardBytes: {
    value: MIB,
    unit: 'bytes',
    reason: 'the same with the retained messages that it asked for',
  },
  mqttUnsentInAllBytes: {
    value: 32 * MIB,
    unit: 'bytes',
    reason: 'waiting for all subscribers; beyond that the slowest is cut off',
  },
  mqttWaitingBytes: {
    value: 8 * MIB,
    unit: 'bytes',
    reason: 'messages that wait for their commit; beyond that no socket is read until half is stored',
  },
  mqttWaitingMessages: {
    value: 5_000,
    unit: 'messages',
    reason: 'the same in messages, each of which costs some memory however small it is',
  },
  mqttDrainWithinMs: {
    value: 10_000,
    unit: 'ms',
    reason: 'a client that reads nothing of what waits for it for so long is cut off',
  },
  mqttIdleMs: {
    value: 60 * MINUTE_MS,
    unit: 'ms',
    reason: 'without a packet where the client asks for no keepalive, or for a longer one',
  },
  tcpKeepAliveMs: {
    value: MINUTE_MS,
    unit: 'ms',
    reason: 'after which the kernel asks a quiet peer whether it is there, whatever its keepalive',
  },
  mqttSubscriptionsPerClient: {
    value: 50,
    unit: 'subscriptions',
    reason: 'a display of 24 benches takes one or two filters a bench',
  },
  mqttTopicBytes: {
    value: KIB,
    unit: 'bytes',
    reason: 'a topic or filter; the longest of the contract has 88',
  },
  mqttTopicLevels: {
    value: 32,
    unit: 'levels',
    reason: 'of a topic or filter; the contract has 5',
  },
  mqttUnreleasedPerClient: {
    value: 50,
    unit: 'messages',
    reason: 'QoS 2 messages whose release is missing; only their numbers are kept',
  },
  httpConnectionsInAll: {
    value: 512,
    unit: 'connections',
    reason: 'to the page, websockets included; one that waits for its request makes room for a new one',
  },
  httpConnectionsPerAddress: {
    value: 128,
    unit: 'connections',
    reason: 'the same from one address; a browser opens 7 a page. A trusted proxy counts in all only',
  },
  httpHeadersWithinMs: {
    value: 15_000,
    unit: 'ms',
    reason: 'for the head of a request',
  },
  httpBodyWithinMs: {
    value: 30_000,
    unit: 'ms',
    reason: 'for a whole request of up to 64 KiB; imports have the two limits below',
  },
  httpIdleMs: {
    value: 120_000,
    unit: 'ms',
    reason: 'without a byte either way: an import that stopped, an export nobody reads',
  },
  httpImportWithinMs: {
    value: 6 * 60 * MINUTE_MS,
    unit: 'ms',
    reason: 'for a whole file of readings: a year of a bench over a slow link',
  },
  httpKeepAliveMs: {
    value: 10_000,
    unit: 'ms',
    reason: 'between two requests on one connection',
  },
  httpHeaderBytes: {
    value: 16 * KIB,
    unit: 'bytes',
    reason: 'the head of a request',
  },
  pagesInAll: {
    value: 200,
    unit: 'connections',
    reason: 'websockets of pages',
  },
  pagesKeptForOwner: {
    value: 20,
    unit: 'connections',
    reason: 'of these, only for accounts that own the installation',
  },
  pagesPerAccount: {
    value: 40,
    unit: 'connections',
    reason: 'of one account; one tablet a bench and some more',
  },
  pagesPerAddress: {
    value: 60,
    unit: 'connections',
    reason: 'of one address, owners excepted',
  },
  pageUnsentBytes: {
    value: MIB,
    unit: 'bytes',
    reason: 'waiting for a page that reads slowly; beyond that it is cut off and starts again',
  },
  pagesUnsentInAllBytes: {
    value: 32 * MIB,
    unit: 'bytes',
    reason: 'waiting for all pages; beyond that the slowest is cut off',
  },
  pageBeatMs: {
    value: 10_000,
    unit: 'ms',
    reason: 'between two pings; a page that left one unanswered is cut off at the next',
  },
  unreadTopics: {
    value: 100,
    unit: 'topics',
    reason: 'topics that nobody reads, which are listed; those unlike ours go first, then the oldest',
  },
  unreadTopicsKept: {
    value: 20,
    unit: 'topics',
    reason: 'of these, misspelt ones that are kept for `strikewell doctor`',
  },
  refusalLinesPerMinute: {
    value: 10,
    unit: 'lines',
    reason: 'of the log about refusals of one kind; more are counted in one line',
  },
} as const satisfies Readonly<Record<string, Limit>>;

type LimitName = keyof typeof LIMIT_TABLE;
export type Limits = Readonly<Record<LimitName, number>>;

/** The limits as numbers. */
export const LIMITS = Object.fromEntries(
  Object.entries(LIMIT_TABLE).map(([name, { value }]) => [name, value]),
) as Limits;
