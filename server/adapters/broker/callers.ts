import type { AuthenticateError, Client, PublishPacket } from 'aedes';
import { parseDeviceTopic, READINGS_FILTER, STATUS_FILTER } from '../../../firmware-contracts/v1/topics.ts';
import type { TurnedAwayWhy } from '../../../shared/wire/probes/device.ts';
import { plainAddress } from '../../domain/access/address.ts';
import type { Limits } from '../../domain/limits/table.ts';
import type {
  BrokerGateway,
  Caller,
  Clock,
  ForeignGateway,
  GatewayWatch,
  LoginRefusal,
  Pass,
  RawMessage,
} from '../../ports.ts';
import { fitsTopic } from './filters.ts';
import type { Line } from './line.ts';
import { createSeats } from './seats.ts';
import { openSubscribers } from './subscribers.ts';

/** What a client that logged in may receive: what the daemon publishes, nothing of other devices. */
const OURS_TO_RECEIVE = /^strikewell\/1\/(watch|places|alarms)\//;
/** MQTT 3.1.1, table 3.1: identifier rejected; bad user name or password; not authorized. */
const [BAD_ID, UNAVAILABLE, BAD_LOGIN, NOT_AUTHORIZED] = [2, 3, 4, 5];

type Refusal = LoginRefusal | 'other-topic' | 'no-topic' | 'too-many-connections' | 'topic-too-long';

const REFUSALS: Readonly<Record<Refusal, { readonly words: string; readonly returnCode: number }>> = {
  anonymous: { words: 'an anonymous client', returnCode: NOT_AUTHORIZED },
  'bad-login': { words: 'name and secret do not fit', returnCode: BAD_LOGIN },
  'device-disabled': { words: 'the device is disabled or retired', returnCode: NOT_AUTHORIZED },
  'client-id': {
    words: 'the client id is the name of a device with a secret of its own',
    returnCode: BAD_ID,
  },
  'other-topic': { words: 'a device speaks for itself alone', returnCode: NOT_AUTHORIZED },
  'no-topic': { words: 'no topic of a device', returnCode: NOT_AUTHORIZED },
  'too-many-connections': { words: 'too many connections', returnCode: UNAVAILABLE },
  'topic-too-long': { words: 'the topic is too long', returnCode: NOT_AUTHORIZED },
};

const NOBODY: Pass = { device: null, fingerprint: null };

type Login = { readonly username: string | undefined; readonly password: Buffer | undefined };
type Known = { readonly pass: Pass; readonly caller: Caller; readonly name: string | null };

type CallerDeps = {
  readonly gateway: BrokerGateway;
  readonly watch: GatewayWatch;
  readonly foreign: ForeignGateway;
  readonly limits: Limits;
  readonly clock: Clock;
};

/** The clients that are connected, each with what it was let in by, and what each may publish and receive. */
export function openCallers(deps: CallerDeps) {
  const { gateway, watch, foreign, limits, clock } = deps;
  const known = new WeakMap<Client, Known>();
  const connected = new Map<string, Client>();
  const passOf = (client: Client) => known.get(client)?.pass ?? NOBODY;
  const stays = (client: Client | null) => client === null || gateway.holds(passOf(client));
  const cutOff = (client: Client) => {
    connected.delete(client.id);
    client.close();
  };
  const turnedAway = (client: Client, why: TurnedAwayWhy, topic: string | null) => {
    const { caller = callerOf(client, NOBODY), name = null } = known.get(client) ?? {};
    watch.turnedAway({ why, caller, name, topic });
  };
  const maySubscribe = (client: Client | null, filter: string) =>
    stays(client) &&
    (client === null || (gateway.open() && passOf(client).device === null) || OURS_TO_RECEIVE.test(filter));
  const sending = { limits, connected, stays, maySubscribe, cutOff, turnedAway };
  const { reach, gone, ...outgoing } = openSubscribers(sending);
  const unread = (client: Client | null, message: RawMessage) => {
    const { clientId = null, device = null, address = null } = (client && known.get(client)?.caller) ?? {};
    foreign.unread({ message, clientId, device, address, isSubscribed: reach(message.topic) });
  };
  const whyNotIn = createLogins({ deps, known, connected, cutOff, gone });
  return {
    cutOff,
    ...outgoing,
    unread,
    refusalOf(client: Client, login: Login): AuthenticateError | null {
      const why = whyNotIn(client, login);
      if (why === null) return null;
      turnedAway(client, why, null);
      const { words, returnCode } = REFUSALS[why];
      return Object.assign(new Error(words), { returnCode });
    },
    /** Why a publish is refused, or null; one of a device is noted. */
    objection(client: Client | null, packet: Pick<PublishPacket, 'topic' | 'payload'>): string | null {
      const { topic } = packet;
      if (client === null) return null;
      // who was cut off publishes its Will, which is no try of its own
      if (!stays(client)) return 'its login ended';
      const why = fitsTopic(topic, limits) ? objectionTo(topic, passOf(client), deps) : 'topic-too-long';
      if (why === null) return null;
      turnedAway(client, why, topic);
      if (why === 'no-topic') unread(client, messageOf(packet, clock));
      return REFUSALS[why].words;
    },
    ...createRefusals({ watch, connected, turnedAway }),
    spoke(client: Client | null, topic: string) {
      // a Will is no word of its client
      const caller = client && !client.closed && known.get(client)?.caller;
      const device = parseDeviceTopic(topic)?.device;
      if (caller && device !== undefined) watch.spoke(caller, device);
    },
    came(client: Client) {
      connected.set(client.id, client);
      const caller = known.get(client)?.caller;
      if (caller) watch.came(caller);
    },
    left(client: Client) {
      if (connected.get(client.id) === client) connected.delete(client.id);
      const caller = known.get(client)?.caller;
      if (caller) watch.left(caller);
    },
    recheck: () => [...connected.values()].filter((client) => !stays(client)).forEach(cutOff),
  };
}

type RefusalDeps = {
  readonly watch: GatewayWatch;
  readonly connected: ReadonlyMap<string, Client>;
  readonly turnedAway: (client: Client, why: TurnedAwayWhy, topic: null) => void;
};

/** Notes connections that were ended, whether they had logged in or not. */
function createRefusals({ watch, connected, turnedAway }: RefusalDeps) {
  const strangerTurnedAway = (why: TurnedAwayWhy, address: string) =>
    watch.turnedAway({ why, caller: strangerAt(address), name: null, topic: null });
  return {
    strangerTurnedAway,
    /** One that sent what is no packet, or too large a one, was cut off. */
    cutOffLine(line: Line, why: TurnedAwayWhy) {
      const client = [...connected.values()].find(({ conn }) => conn === line);
      if (client) turnedAway(client, why, null);
      else strangerTurnedAway(why, line.remoteAddress);
    },
  };
}

type LoginDeps = {
  readonly deps: CallerDeps;
  readonly known: WeakMap<Client, Known>;
  readonly connected: ReadonlyMap<string, Client>;
  readonly cutOff: (client: Client) => void;
  readonly gone: (client: Client) => void;
};

/** Lets clients in, each to a place: why one may not come in, or null. */
function createLogins({ deps, known, connected, cutOff, gone }: LoginDeps) {
  const { gateway, watch, limits } = deps;
  const seats = createSeats<Client>(limits);
  /** A place for who was let in; the one that it takes over from needs none any more. */
  const seated = (client: Client, { device, address }: Caller): boolean => {
    const before = connected.get(client.id);
    if (before) seats.leave(before);
    const seat = seats.take({ client, device, address });
    if (seat === null) return false;
    client.conn.once('close', () => {
      seats.leave(client);
      gone(client);
    });
    if (seat.evicted !== null) cutOff(seat.evicted);
    return true;
  };
  return (client: Client, { username, password }: Login): Refusal | null => {
    const given = username !== undefined && password !== undefined;
    const login = given ? { name: username, secret: password.toString('utf8') } : null;
    const outcome = gateway.letIn({ login, clientId: client.id });
    const pass = typeof outcome === 'string' ? NOBODY : outcome;
    const caller = callerOf(client, pass);
    known.set(client, { pass, caller, name: username ?? null });
    if (typeof outcome === 'string') return outcome;
    const before = connected.get(client.id);
    const callerBefore = before && known.get(before)?.caller;
    if (!seated(client, caller)) return 'too-many-connections';
    if (callerBefore) watch.tookOver(callerBefore, caller);
    return null;
  };
}

/** A packet of a client as a message that came in at the broker. */
export function messageOf(
  { topic, payload }: Pick<PublishPacket, 'topic' | 'payload'>,
  clock: Clock,
): RawMessage {
  const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
  return { topic, payload: bytes, arrivedAtMs: clock.nowMs(), retainedCopy: false };
}

function strangerAt(address: string): Caller {
  return { clientId: '', device: null, address: plainAddress(address) };
}

/** Why a client may not publish on a topic, or null. */
function objectionTo(
  topic: string,
  pass: Pass,
  { gateway, foreign }: Pick<CallerDeps, 'gateway' | 'foreign'>,
): 'other-topic' | 'no-topic' | null {
  const device = deviceOf(topic) ?? foreign.speaksFor(topic);
  if (device !== null) return gateway.maySpeakFor(pass, device) ? null : 'other-topic';
  const free = (gateway.open() && pass.device === null) || foreign.mayPublish(topic);
  return free ? null : 'no-topic';
}

function callerOf(client: Client, { device }: Pass): Caller {
  const { remoteAddress } = client.conn as { remoteAddress?: string };
  return { clientId: client.id, device, address: plainAddress(remoteAddress ?? '') };
}

/** The device of one of the two topics of a device, also when its name is not allowed: that is refused and shown. */
export function deviceOf(topic: string): string | null {
  for (const filter of [READINGS_FILTER, STATUS_FILTER]) {
    const [head = '', tail = ''] = filter.split('+');
    if (topic.startsWith(head) && topic.endsWith(tail)) return topic.slice(head.length, -tail.length);
  }
  return null;
}
