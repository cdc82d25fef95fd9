import { createServer, type Server } from 'node:net';
import { Aedes, type AuthenticateError, type Client, type PublishPacket } from 'aedes';
import { READINGS_FILTER, STATUS_FILTER } from '../../../firmware-contracts/v1/topics.ts';
import { Fault } from '../../../shared/faults.ts';
import type { BrokerDoor, Bus, Clock, ForeignDoor, Inbox, Log, Timers } from '../../ports.ts';

/** A subscriber that does not read for this long is cut off, so that it cannot stall the others. */
const DRAIN_TIMEOUT_MS = 10_000;
/** Most clients at once. */
export const MAX_CLIENTS = 1_000;
/** Connections at once, also of those that did not log in yet. */
const MAX_CONNECTIONS = 2 * MAX_CLIENTS;
/** How often it is looked again at who is connected: a password may be set from outside the daemon. */
const RECHECK_EVERY_MS = 10_000;
/** What a client may hear that logged in: what the daemon tells, nothing of other devices. */
const OURS_TO_HEAR = /^strikewell\/1\/(watch|places|alarms)\//;
/** MQTT 3.1.1, table 3.1: bad user name or password; not authorized. */
const [BAD_LOGIN, NOT_AUTHORIZED] = [4, 5];

export type BrokerDeps = {
  readonly host: string;
  readonly port: number;
  readonly inbox: Inbox;
  readonly clock: Clock;
  readonly log: Log;
  readonly door: BrokerDoor;
  readonly foreign: ForeignDoor;
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
  const clients = openClients(deps.door, deps.foreign);
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
      if (clients.maySay(client, packet.topic)) authorize(deps, packet, done);
      else done(new Error(`the login of devices may not publish on ${packet.topic}`));
    },
  });
  broker.on('clientError', (client, error) => {
    deps.log.warn('a device was cut off', { client: client.id, error: error.message });
  });
  broker.on('connectionError', (_client, error) => {
    deps.log.warn('a connection was refused', { error: error.message });
  });
  broker.on('client', clients.came);
  broker.on('clientDisconnect', clients.left);
  const stopLooking = deps.every(RECHECK_EVERY_MS, clients.recheck);
  const server = createServer(broker.handle);
  server.maxConnections = MAX_CONNECTIONS;
  await listen(server, deps);
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
        broker.close(() => server.close(() => resolve()));
      }),
  };
}

type Login = { readonly username: string | undefined; readonly password: Buffer | undefined };

/** The clients that are connected, each with what it was let in by. */
function openClients(door: BrokerDoor, foreign: ForeignDoor) {
  const tickets = new WeakMap<Client, string | null>();
  const connected = new Set<Client>();
  const stays = (client: Client | null) => client === null || door.holds(tickets.get(client) ?? null);
  return {
    stays,
    refusalOf(client: Client, { username, password }: Login): AuthenticateError | null {
      const given = username !== undefined && password !== undefined;
      const ticket = given ? door.ticketOf({ name: username, secret: password.toString('utf8') }) : null;
      tickets.set(client, ticket);
      if (ticket !== null || door.open()) return null;
      const why = given ? 'name and secret do not fit' : 'an anonymous client';
      return Object.assign(new Error(why), { returnCode: given ? BAD_LOGIN : NOT_AUTHORIZED });
    },
    maySay: (client: Client | null, topic: string) =>
      stays(client) && (client === null || door.open() || isFromDevice(topic) || foreign.mayPublish(topic)),
    mayHear: (client: Client | null, filter: string) =>
      stays(client) && (client === null || door.open() || OURS_TO_HEAR.test(filter)),
    came: (client: Client) => void connected.add(client),
    left: (client: Client) => void connected.delete(client),
    recheck() {
      for (const client of connected) if (!stays(client)) client.close();
    },
  };
}

/** What a client may publish, Wills included; the daemon's own publishing does not pass here. */
function authorize(
  { inbox, clock, log, foreign }: BrokerDeps,
  packet: PublishPacket,
  done: (error?: Error) => void,
): void {
  const { topic, payload } = packet;
  const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
  const message = { topic, payload: bytes, arrivedAtMs: clock.nowMs(), retainedCopy: false };
  if (!isFromDevice(topic)) {
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

/** Topics of the broker itself and of the daemon. */
function isOurs(topic: string): boolean {
  return /^\$SYS\/|^strikewell\/1\/(watch\/heartbeat$|places\/[^/]+\/now$|alarms\/[^/]+$)/.test(topic);
}

/**
 * True for the two topics of a device, also when the device's name is not allowed: that is refused and shown.
 * Asked before `isOurs`: a device may be called "alarms".
 */
function isFromDevice(topic: string): boolean {
  return [READINGS_FILTER, STATUS_FILTER].some((filter) => {
    const [head = '', tail = ''] = filter.split('+');
    return topic.startsWith(head) && topic.endsWith(tail);
  });
}

function listen(server: Server, { host, port }: BrokerDeps): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) => reject(listenFault(cause, { host, port })));
    server.listen(port, host, resolve);
  });
}

function listenFault(cause: NodeJS.ErrnoException, { host, port }: { host: string; port: number }): Fault {
  if (cause.code === 'EADDRINUSE') {
    const message =
      `STRIKEWELL_MQTT_PORT ${port} is in use on ${host}: another broker listens there. ` +
      'Choose another port, or set STRIKEWELL_MQTT_URL to use that broker.';
    return new Fault({ code: 'port-in-use', message, cause });
  }
  const message = `The broker cannot listen on ${host}:${port}: ${cause.message}.`;
  return new Fault({ code: 'bad-setting', message, cause });
}
