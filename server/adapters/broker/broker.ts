import type { Server, Socket } from 'node:net';
import { Aedes, type Client, type PublishPacket } from 'aedes';
import { Fault } from '../../../shared/faults.ts';
import { LIMITS, type Limits } from '../../domain/limits/table.ts';
import { isDaemonTopic } from '../../domain/topics/ours.ts';
import type {
  BrokerGateway,
  Bus,
  Clock,
  ForeignGateway,
  GatewayWatch,
  Handshake,
  Inbox,
  Log,
  Timers,
} from '../../ports.ts';
import { deviceOf, messageOf, openCallers } from './callers.ts';
import { followHandshakes } from './handshakes.ts';
import { Line } from './line.ts';
import { createLogInGate, type LogInGate } from './log-in-gate.ts';
import { pacedWarnings } from './paced.ts';
import { createRetainedRoom } from './retained.ts';
import { openServers } from './servers.ts';
import { openUnanswered, type Unanswered } from './unanswered.ts';
import { createValve, type Valve } from './valve.ts';

/** How often those who are connected are checked again: a password may be set from outside the daemon. */
const RECHECK_EVERY_MS = 10_000;
/** How often what waits to be sent is checked, ms. */
const UNSENT_EVERY_MS = 1_000;
/** A client is cut off after one and a half times its keepalive. @source MQTT 3.1.1 section 3.1.2.10 */
const KEEPALIVES = 1.5;

type BrokerDeps = {
  readonly host: string;
  /** the plain port, or null for none */
  readonly port: number | null;
  /** where and with what it listens encrypted besides, or null */
  readonly secure: { readonly port: number; readonly cert: Buffer; readonly key: Buffer } | null;
  readonly inbox: Inbox;
  readonly clock: Clock;
  readonly log: Log;
  readonly gateway: BrokerGateway;
  readonly foreign: ForeignGateway;
  readonly watch: GatewayWatch;
  readonly timers: Pick<Timers, 'every' | 'after'>;
  readonly limits?: Limits;
};

/** The bus, with what checks again who is connected, and what is called with whether the record can be written. */
export type OwnBus = Bus & { recheck(): void; recordWritable(writable: boolean): void };

type Opened = BrokerDeps & { readonly limits: Limits; readonly valve: Valve };
type Callers = ReturnType<typeof openCallers>;

/**
 * The embedded MQTT 3.1.1 broker. A pack of readings is committed before it is acknowledged: the
 * acknowledgement waits for the inbox. No session outlives its connection, so no queue can grow unbounded.
 * Once the installation has an owner, clients must log in, and may publish as a device only.
 * What anybody may take of this machine is bounded before a packet is gathered: see `Line` and the table of limits.
 * @throws Fault `port-in-use` or `bad-setting` when it cannot listen
 */
export async function startBroker(given: BrokerDeps): Promise<OwnBus> {
  const limits = given.limits ?? LIMITS;
  const deps: Opened = { ...given, limits, valve: createValve(limits) };
  const { timers, log } = deps;
  const clients = openCallers(deps);
  const unanswered = openUnanswered({ ...deps, every: timers.every, cutOff: clients.cutOff });
  const broker = await createBroker(deps, { clients, unanswered });
  const logInGate = createLogInGate({
    limits,
    after: timers.after,
    turnedAway: (why, address) => clients.strangerTurnedAway(why, address),
  });
  const lines = logIns(broker, logInGate);
  const stops = [
    timers.every(RECHECK_EVERY_MS, clients.recheck),
    timers.every(UNSENT_EVERY_MS, clients.cutOffSlow),
    unanswered.stop,
  ];
  const handle = (socket: Socket, beneath: Socket) => {
    const line = lineOver(socket, { deps, clients });
    lines.set(line, beneath);
    broker.handle(line);
  };
  const warn = pacedWarnings(deps);
  const refused = (message: string, error: Error) => warn(message, { error: error.message });
  const servers = await openServers({ ...deps, logInGate, handle, warn: refused });
  return {
    publishRetained: (topic, payload) =>
      broker.publish({ cmd: 'publish', topic, payload, qos: 1, retain: true, dup: false }, (error) => {
        if (error) log.warn('a topic could not be published', { topic, error: error.message });
      }),
    connected: () => true,
    recheck: clients.recheck,
    recordWritable: unanswered.recordWritable,
    close: () => closeAll({ broker, servers, logInGate, stops }),
  };
}

type Closing = {
  readonly broker: Aedes;
  readonly servers: readonly Server[];
  readonly logInGate: LogInGate;
  readonly stops: readonly (() => void)[];
};

function closeAll({ broker, servers, logInGate, stops }: Closing): Promise<void> {
  for (const stop of stops) stop();
  return new Promise((resolve) => {
    broker.close(() => {
      logInGate.close();
      void Promise.all(servers.map(closed)).then(() => resolve());
    });
  });
}

type Answering = { readonly clients: Callers; readonly unanswered: Unanswered };

async function createBroker(deps: Opened, { clients, unanswered }: Answering): Promise<Aedes> {
  const { limits } = deps;
  const retained = createRetainedRoom();
  const handshakes = followHandshakes(deps.inbox);
  const broker = await Aedes.createBroker({
    drainTimeout: limits.mqttDrainWithinMs,
    connectTimeout: limits.mqttConnectWithinMs,
    maxClientsIdLength: 128,
    maxTopicLevels: limits.mqttTopicLevels,
    maxInflightInbound: limits.mqttUnreleasedPerClient,
    queueLimit: limits.mqttPacketsAtOnce,
    preConnect(_client, packet, done) {
      packet.clean = true;
      packet.keepalive = boundedKeepalive(packet.keepalive ?? 0, limits);
      done(null, true);
    },
    authenticate(client, username, password, done) {
      const refusal = clients.refusalOf(client, { username, password });
      done(refusal, refusal === null);
    },
    authorizeSubscribe: (client, subscription, done) =>
      done(null, clients.maySubscribe(client, subscription.topic) ? subscription : null),
    authorizeForward: (client, packet) => (clients.maySend(client, packet) ? packet : null),
    authorizePublish(client, packet, done) {
      const objection = clients.objection(client, packet);
      if (objection !== null)
        return done(new Error(`refused on ${packet.topic.slice(0, 200)}: ${objection}`));
      clients.spoke(client, packet.topic);
      if (packet.retain) packet.retain = retained.takes({ topic: packet.topic, bytes: keptBytes(packet) });
      authorize(deps, {
        client,
        packet,
        handshake: handshakes.of(client, packet),
        clients,
        unanswered,
        done,
      });
    },
  });
  handshakes.watch(broker);
  keepNumbersOnly(broker);
  sayWhatFails(broker, deps);
  broker.on('client', clients.came);
  broker.on('clientDisconnect', clients.left);
  broker.on('clientDisconnect', unanswered.left);
  broker.on('unsubscribe', clients.unsubscribed);
  return broker;
}

/** Seconds of keepalive, where a client asks for none or for very much. */
function boundedKeepalive(keepalive: number, { mqttIdleMs }: Limits): number {
  const most = mqttIdleMs / 1_000 / KEEPALIVES;
  return keepalive > 0 ? Math.min(keepalive, most) : most;
}

/** Of a QoS 2 message that waits for its release the number is enough: it was passed on when it came. */
function keepNumbersOnly({ persistence }: { persistence?: Persistence } & Aedes): void {
  if (persistence === undefined) return;
  const store = persistence.incomingStorePacket.bind(persistence);
  persistence.incomingStorePacket = (client, packet) => store(client, { ...packet, payload: NOTHING });
}

const NOTHING = Buffer.alloc(0);
type Persistence = {
  incomingStorePacket(client: Client, packet: PublishPacket): Promise<void>;
};

function sayWhatFails(broker: Aedes, deps: Opened): void {
  const warn = pacedWarnings(deps);
  broker.on('clientError', (client, error) => {
    warn('a device was cut off', { client: client.id.slice(0, 128), error: error.message });
  });
  broker.on('connectionError', (_client, error) => {
    warn('a connection was refused', { error: error.message });
  });
}

/** Lets the packets of a client through once it has logged in, and takes it from those that have not. */
function logIns(broker: Aedes, logInGate: LogInGate): WeakMap<Line, Socket> {
  const lines = new WeakMap<Line, Socket>();
  broker.on('connackSent', ({ returnCode }, client) => {
    if (returnCode !== 0 || !(client.conn instanceof Line)) return;
    const beneath = lines.get(client.conn);
    if (beneath) logInGate.loggedIn(beneath);
    client.conn.logIn();
  });
  return lines;
}

function lineOver(socket: Socket, { deps, clients }: { deps: Opened; clients: Callers }): Line {
  const { limits, valve } = deps;
  const line: Line = new Line({
    socket,
    limits,
    valve,
    refused: (why) => clients.cutOffLine(line, why),
  });
  return line;
}

type Publishing = {
  readonly client: Client | null;
  readonly packet: PublishPacket;
  readonly handshake: Handshake | undefined;
  readonly clients: Callers;
  readonly unanswered: Unanswered;
  readonly done: (error?: Error) => void;
};

function isUnwritable(cause: unknown): boolean {
  return cause instanceof Fault && cause.code === 'store-failed';
}

/** What a client may publish, Wills included; the daemon's own publishing does not pass here. */
function authorize(deps: Opened, publishing: Publishing): void {
  const { client, packet, handshake, clients, unanswered, done } = publishing;
  const { inbox, log, foreign, valve } = deps;
  const { topic } = packet;
  const came = messageOf(packet, deps.clock);
  const message = handshake === undefined ? came : { ...came, handshake };
  if (deviceOf(topic) === null) {
    const isOurs = isDaemonTopic(topic);
    if (!isOurs) foreign.observe(message);
    if (isOurs || !foreign.takes(topic)) {
      if (!isOurs) clients.unread(client, message);
      done(isOurs ? new Error(`only the daemon may publish on ${topic}`) : undefined);
      return;
    }
  }
  const answered = valve.took(message.payload.byteLength);
  inbox.offer(message).then(
    () => {
      answered();
      done();
    },
    (cause: unknown) => {
      answered();
      if (isUnwritable(cause)) {
        // MQTT 3.1.1 has no refusal: as one of QoS 0 it is not acknowledged, and its sender stays connected
        packet.qos = 0;
        unanswered.add(client);
        return done();
      }
      log.warn('a message was not acknowledged', { topic, error: String(cause) });
      done(new Error('not stored'));
    },
  );
}

function keptBytes({ topic, payload }: PublishPacket): number {
  const bytes = Buffer.byteLength(payload);
  return bytes === 0 ? 0 : bytes + Buffer.byteLength(topic);
}

function closed(server: Server): Promise<void> {
  return new Promise((resolve) => server.close(() => resolve()));
}
