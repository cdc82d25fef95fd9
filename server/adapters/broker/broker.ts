import { createServer, type Server, type Socket } from 'node:net';
import { createServer as createSecureServer } from 'node:tls';
import { Aedes, type PublishPacket } from 'aedes';
import { Fault } from '../../../shared/faults.ts';
import type {
  BrokerDoor,
  Bus,
  Clock,
  DoorWatch,
  ForeignDoor,
  Handshake,
  Inbox,
  Log,
  Timers,
} from '../../ports.ts';
import { deviceOf, openCallers } from './callers.ts';
import { followHandshakes } from './handshakes.ts';
import { createRetainedRoom } from './retained.ts';

/** A subscriber that does not read for this long is cut off, so that it cannot stall the others. */
const DRAIN_TIMEOUT_MS = 10_000;
/** Most clients at once. */
export const MAX_CLIENTS = 1_000;
/** Connections at once, also of those that did not log in yet. */
const MAX_CONNECTIONS = 2 * MAX_CLIENTS;
/** How often it is looked again at who is connected: a password may be set from outside the daemon. */
const RECHECK_EVERY_MS = 10_000;

export type BrokerDeps = {
  readonly host: string;
  readonly port: number;
  /** where and with what it listens encrypted besides, or null */
  readonly secure: { readonly port: number; readonly cert: Buffer; readonly key: Buffer } | null;
  readonly inbox: Inbox;
  readonly clock: Clock;
  readonly log: Log;
  readonly door: BrokerDoor;
  readonly foreign: ForeignDoor;
  readonly watch: DoorWatch;
  readonly every: Timers['every'];
};

/**
 * The embedded MQTT 3.1.1 broker. A pack of readings is committed before it is acknowledged: the
 * acknowledgement waits for the inbox. No session outlives its connection, so no queue can grow unbounded.
 * Once the house has an owner, who speaks must have logged in, and may publish as a device only.
 * @returns the bus, and what looks again at who is connected
 * @throws Fault `port-in-use` or `bad-setting` when it cannot listen
 */
export async function startBroker(deps: BrokerDeps): Promise<Bus & { recheck(): void }> {
  const clients = openCallers(deps);
  const retained = createRetainedRoom();
  const handshakes = followHandshakes(deps.inbox);
  const broker = await Aedes.createBroker({
    drainTimeout: DRAIN_TIMEOUT_MS,
    maxClientsIdLength: 128,
    preConnect(_client, packet, done) {
      packet.clean = true;
      done(null, broker.connectedClients < MAX_CLIENTS);
    },
    authenticate(client, username, password, done) {
      const refusal = clients.refusalOf(client, { username, password });
      done(refusal, refusal === null);
    },
    authorizeSubscribe: (client, subscription, done) =>
      done(null, clients.mayHear(client, subscription.topic) ? subscription : null),
    authorizeForward: (client, packet) => (clients.stays(client) ? packet : null),
    authorizePublish(client, packet, done) {
      const objection = clients.objection(client, packet.topic);
      if (objection !== null) return done(new Error(`refused on ${packet.topic}: ${objection}`));
      clients.spoke(client, packet.topic);
      if (packet.retain) packet.retain = retained.takes({ topic: packet.topic, bytes: keptBytes(packet) });
      authorize(deps, { packet, handshake: handshakes.of(client, packet) }, done);
    },
  });
  handshakes.watch(broker);
  broker.on('clientError', (client, error) => {
    deps.log.warn('a device was cut off', { client: client.id, error: error.message });
  });
  broker.on('connectionError', (_client, error) => {
    deps.log.warn('a connection was refused', { error: error.message });
  });
  broker.on('client', clients.came);
  broker.on('clientDisconnect', clients.left);
  const stopLooking = deps.every(RECHECK_EVERY_MS, clients.recheck);
  const servers = await openServers(deps, broker.handle);
  return {
    publishRetained: (topic, payload) =>
      broker.publish({ cmd: 'publish', topic, payload, qos: 1, retain: true, dup: false }, (error) => {
        if (error) deps.log.warn('a topic could not be published', { topic, error: error.message });
      }),
    connected: () => true,
    recheck: clients.recheck,
    close: () =>
      new Promise((resolve) => {
        stopLooking();
        broker.close(() => void Promise.all(servers.map(closed)).then(() => resolve()));
      }),
  };
}

/** What a client may publish, Wills included; the daemon's own publishing does not pass here. */
function authorize(
  { inbox, clock, log, foreign }: BrokerDeps,
  { packet, handshake }: { readonly packet: PublishPacket; readonly handshake: Handshake | undefined },
  done: (error?: Error) => void,
): void {
  const { topic, payload } = packet;
  const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
  const came = { topic, payload: bytes, arrivedAtMs: clock.nowMs(), retainedCopy: false };
  const message = handshake === undefined ? came : { ...came, handshake };
  if (deviceOf(topic) === null) {
    if (!isOurs(topic)) foreign.overhear(message);
    if (isOurs(topic) || !foreign.takes(topic)) {
      done(isOurs(topic) ? new Error(`only the daemon may publish on ${topic}`) : undefined);
      return;
    }
  }
  inbox.offer(message).then(
    () => done(),
    (cause: unknown) => {
      log.warn('a message was not acknowledged', { topic, error: String(cause) });
      done(new Error('not stored'));
    },
  );
}

function keptBytes({ topic, payload }: PublishPacket): number {
  const bytes = Buffer.byteLength(payload);
  return bytes === 0 ? 0 : bytes + Buffer.byteLength(topic);
}

/** Topics of the broker itself and of the daemon; asked after `deviceOf`, as a device may be called "alarms". */
function isOurs(topic: string): boolean {
  return /^\$SYS\/|^strikewell\/1\/(watch\/heartbeat$|places\/[^/]+\/now$|alarms\/[^/]+$)/.test(topic);
}

/** The plain door, and the encrypted one beside it. */
async function openServers(deps: BrokerDeps, handle: (socket: Socket) => void): Promise<Server[]> {
  const { host, port, secure } = deps;
  const plain = createServer(handle);
  await listen(plain, { key: 'STRIKEWELL_MQTT_PORT', host, port });
  if (secure === null) return [plain];
  const encrypted = createSecureServer({ cert: secure.cert, key: secure.key }, handle);
  encrypted.on('tlsClientError', (error) => {
    deps.log.warn('an encrypted connection was refused', { error: error.message });
  });
  try {
    await listen(encrypted, { key: 'STRIKEWELL_MQTTS_PORT', host, port: secure.port });
  } catch (cause) {
    plain.close();
    throw cause;
  }
  return [plain, encrypted];
}

function closed(server: Server): Promise<void> {
  return new Promise((resolve) => server.close(() => resolve()));
}

type Address = { readonly key: string; readonly host: string; readonly port: number };

function listen(server: Server, address: Address): Promise<void> {
  const { host, port } = address;
  server.maxConnections = MAX_CONNECTIONS;
  return new Promise((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) => reject(listenFault(cause, address)));
    server.listen(port, host, resolve);
  });
}

function listenFault(cause: NodeJS.ErrnoException, { key, host, port }: Address): Fault {
  if (cause.code === 'EADDRINUSE') {
    const message =
      `${key} ${port} is in use on ${host}: another broker listens there. ` +
      'Choose another port, or set STRIKEWELL_MQTT_URL to use that broker.';
    return new Fault({ code: 'port-in-use', message, cause });
  }
  const message = `The broker cannot listen on ${host}:${port}: ${cause.message}.`;
  return new Fault({ code: 'bad-setting', message, cause });
}
