import { createHash } from 'node:crypto';
import { connect, type IClientOptions, type IPublishPacket, type MqttClient } from 'mqtt';
import { HEARTBEAT_TOPIC, READINGS_FILTER, STATUS_FILTER } from '../../../firmware-contracts/v1/topics.ts';
import { Fault } from '../../../shared/faults.ts';
import type { Heartbeat } from '../../../shared/wire/topics.ts';
import type { Bus, Clock, Inbox, Log, RawMessage, Timers } from '../../ports.ts';
import { secondSession } from './second-session.ts';

/** Waits between attempts to reach the broker, and to commit again what the database refused. */
const RECONNECT_MS = 2_000;
const STORE_RETRY_MS = 1_000;
const STORE_RETRIES = 5;
/** How long a leave-taking waits for the broker. */
const LEAVE_LIMIT_MS = 2_000;
/** Messages the broker may have under way to us at once (MQTT 5). */
const RECEIVE_MAXIMUM = 20;
/** How long the broker keeps our session, and so what arrives while we are away (MQTT 5), s. */
const SESSION_EXPIRY_S = 7 * 86_400;
/**
 * What is published at QoS 1 comes at QoS 1. At 2 a message is committed before its PUBREC, and one that comes again
 * after a broken connection is known by its handshake: at 1 it would be stored twice, by another arrival.
 */
const SUBSCRIBE_QOS = 2;
/** Retained messages are wanted with a new subscription only, not again at every reconnect (MQTT 5). */
const RETAINED_IF_NEW = 1;
/** What our Will says. */
const OFFLINE: Heartbeat = { state: 'offline' };

export type OutsideBroker = {
  readonly url: string;
  readonly clientId: string;
  /** tried first; falls back to 3.1.1 when the broker refuses it */
  readonly protocolVersion: 4 | 5;
  readonly username?: string;
  readonly password?: string;
  /** PEM of the authority that signed the broker's certificate, when it is not a public one */
  readonly ca?: Buffer;
};

export type OutsideDeps = {
  readonly broker: OutsideBroker;
  readonly inbox: Inbox;
  readonly clock: Clock;
  readonly timers: Timers;
  readonly log: Log;
  /** further filters that the broker may hold a subscription of ours for, kept over restarts */
  readonly held: { read(): readonly string[]; write(filters: readonly string[]): void };
};

/** The bus, and what is received besides the contract's topics; what is no longer wanted is unsubscribed. */
type OutsideBus = Bus & {
  want(filters: readonly string[]): void;
  /** called with whether the record can be written */
  recordWritable(writable: boolean): void;
};

/**
 * Subscribes at an outside broker. A message is acknowledged to it after it is committed here; what the
 * database refuses is tried again, then the connection is dropped so that the broker sends it again. While the record
 * cannot be written nothing is acknowledged, and a second session goes on hearing what comes.
 * Connects in the background and for as long as the daemon runs.
 */
export function joinBroker(deps: OutsideDeps): OutsideBus {
  const retained = new Map<string, string>();
  const further = createFurther(deps);
  const unanswered = { any: false };
  const client = openClient(deps, { retained, further, unanswered });
  const second = secondSession(deps);
  return {
    recordWritable(writable) {
      if (!writable) return second.open(further.wanted());
      second.close();
      // what was not acknowledged comes again with a new connection only
      if (unanswered.any) client.stream.destroy();
      unanswered.any = false;
    },
    want(filters) {
      further.want(filters);
      if (client.connected) further.agree(client);
    },
    publishRetained(topic, payload) {
      retained.set(topic, payload);
      if (client.connected) send(client, { topic, payload }, deps.log);
    },
    connected: () => client.connected,
    close() {
      second.close();
      return leave(client, deps.timers);
    },
  };
}

/** Leaves in good order where the broker answers; one that is away or frozen is not waited for. */
async function leave(client: MqttClient, timers: Timers): Promise<void> {
  if (!client.connected) return client.endAsync(true);
  const tired = new Promise<void>((resolve) => timers.after(LEAVE_LIMIT_MS, resolve));
  await Promise.race([client.endAsync(), tired]);
  client.stream.destroy();
}

function optionsFor({ broker }: OutsideDeps): IClientOptions {
  const { username, password, ca, clientId, protocolVersion } = broker;
  return {
    protocolVersion,
    clientId,
    clean: false,
    keepalive: 60,
    reconnectPeriod: RECONNECT_MS,
    reconnectOnConnackError: true,
    // the library would trust the broker's session; after a broker restart that is a silent loss
    resubscribe: false,
    queueQoSZero: false,
    manualConnect: true,
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
    ...(ca === undefined ? {} : { ca }),
    will: { topic: HEARTBEAT_TOPIC, payload: Buffer.from(JSON.stringify(OFFLINE)), qos: 1, retain: true },
    ...(protocolVersion === 5
      ? { properties: { sessionExpiryInterval: SESSION_EXPIRY_S, receiveMaximum: RECEIVE_MAXIMUM } }
      : {}),
  };
}

type Joined = {
  readonly retained: ReadonlyMap<string, string>;
  readonly further: Further;
  /** whether the broker waits for acknowledgements that the record could not give */
  readonly unanswered: { any: boolean };
};
type Further = ReturnType<typeof createFurther>;

/**
 * The filters beside those of the contract. The session at the broker outlives this process, so what may be subscribed
 * there is noted before it is asked for, and forgotten only after it was given up.
 */
function createFurther({ held, log }: Pick<OutsideDeps, 'held' | 'log'>) {
  let wanted: readonly string[] = [];
  return {
    wanted: () => wanted,
    want(filters: readonly string[]) {
      wanted = filters;
    },
    /** Asks the broker for what is wanted, and gives up what is not. */
    agree(client: MqttClient) {
      const before = held.read();
      const gone = before.filter((filter) => !wanted.includes(filter));
      if (wanted.some((filter) => !before.includes(filter))) held.write([...new Set([...before, ...wanted])]);
      if (wanted.length > 0) {
        client.subscribe([...wanted], { qos: SUBSCRIBE_QOS, rh: RETAINED_IF_NEW }, (error) => {
          if (error)
            log.error('the broker refuses a subscription to mapped topics', { error: error.message });
        });
      }
      if (gone.length === 0) return;
      client.unsubscribe(gone, (error) => {
        if (error) return;
        held.write(held.read().filter((filter) => !gone.includes(filter) || wanted.includes(filter)));
      });
    },
  };
}

function openClient(deps: OutsideDeps, { retained, further, unanswered }: Joined): MqttClient {
  const { log, broker } = deps;
  const client = connect(broker.url, optionsFor(deps));
  let connection = 0;
  let lastSaid = '';
  client.handleMessage = (packet, done) => {
    // one of QoS 2 was committed before its PUBREC, and is handed over here a second time
    if (packet.qos === 2) done();
    else void take(deps, { client, packet, done, unanswered, connection: () => connection });
  };
  client.options.customHandleAcks = (_topic, _message, packet, acknowledge) => {
    // what is not acknowledged comes again on the next connection; this one has ended
    const done = (error?: Error) => {
      if (!error) acknowledge(0);
    };
    if (packet.qos === 2) void take(deps, { client, packet, done, unanswered, connection: () => connection });
    else done();
  };
  client.on('packetreceive', (packet) => {
    if (packet.cmd === 'pubrel') deps.inbox.over(keyOf(deps, packet.messageId));
  });
  client.on('error', (error) => {
    if (error.message !== lastSaid) log.warn('the broker cannot be joined', { error: error.message });
    lastSaid = error.message;
    speakOlderVersion(client, error, log);
  });
  client.on('close', () => {
    connection++;
  });
  client.on('offline', () => log.warn('the broker is away', { url: withoutSecrets(broker.url) }));
  client.on('connect', () => {
    lastSaid = '';
    const { protocolVersion = null } = client.options;
    log.info('joined the broker', { url: withoutSecrets(broker.url), protocolVersion });
    client.subscribe(
      [READINGS_FILTER, STATUS_FILTER],
      { qos: SUBSCRIBE_QOS, rh: RETAINED_IF_NEW },
      (error) => {
        if (error) log.error('the broker refuses our subscription', { error: error.message });
      },
    );
    further.agree(client);
    for (const [topic, payload] of retained) send(client, { topic, payload }, log);
  });
  client.connect();
  return client;
}

/** Goes on with MQTT 3.1.1, from the next attempt on, when the broker does not speak 5. */
function speakOlderVersion({ options }: MqttClient, error: Error, log: Log): void {
  if (options.protocolVersion !== 5 || !/un(acceptable|supported) protocol version/i.test(error.message))
    return;
  log.info('the broker does not speak MQTT 5; going on with 3.1.1');
  options.protocolVersion = 4;
  delete options.properties;
}

type IncomingPublish = {
  readonly client: MqttClient;
  readonly packet: IPublishPacket;
  readonly done: (error?: Error) => void;
  readonly unanswered: Joined['unanswered'];
  readonly connection: () => number;
};

/** A message as it came, with its handshake where it is one of QoS 2. */
function rawOf(packet: IPublishPacket, deps: OutsideDeps): RawMessage {
  const { topic, retain: retainedCopy } = packet;
  const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
  const raw = { topic, payload, arrivedAtMs: deps.clock.nowMs(), retainedCopy };
  if (packet.qos !== 2) return raw;
  const content = createHash('sha256').update(`${topic}\0`).update(payload).digest('base64');
  return { ...raw, handshake: { key: keyOf(deps, packet.messageId), content, mayRepeat: packet.dup } };
}

function keyOf({ broker }: OutsideDeps, messageId: number | undefined): string {
  return `${broker.clientId}/${messageId}`;
}

async function take(deps: OutsideDeps, message: IncomingPublish): Promise<void> {
  const { inbox, timers, log } = deps;
  const { client, packet, done, connection, unanswered } = message;
  const arrivedOn = connection();
  const raw = rawOf(packet, deps);
  for (let attempt = 1; ; attempt++) {
    try {
      await inbox.offer(raw);
      // an acknowledgement made after a reconnect could acknowledge another message of the same number
      return connection() === arrivedOn ? done() : done(new Error('the connection is another one now'));
    } catch (cause) {
      if (cause instanceof Fault && cause.code === 'store-failed') {
        unanswered.any = true;
        return done(new Error('not stored'));
      }
      if (attempt < STORE_RETRIES && connection() === arrivedOn) {
        await new Promise<void>((resolve) => timers.after(STORE_RETRY_MS, resolve));
        continue;
      }
      log.error('a message could not be stored; asking the broker for it again', { error: String(cause) });
      done(new Error('not stored'));
      client.stream.destroy();
      return;
    }
  }
}

function send(client: MqttClient, message: { topic: string; payload: string }, log: Log): void {
  client.publish(message.topic, message.payload, { qos: 1, retain: true }, (error) => {
    if (error) log.warn('a topic could not be published', { topic: message.topic, error: error.message });
  });
}

/** An address that may stand in a log: no user, no password. */
export function withoutSecrets(url: string): string {
  const parsed = new URL(url);
  parsed.username = '';
  parsed.password = '';
  return parsed.toString();
}
