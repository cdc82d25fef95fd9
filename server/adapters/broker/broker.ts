import { createServer, type Server } from 'node:net';
import { Aedes, type PublishPacket } from 'aedes';
import { READINGS_FILTER, STATUS_FILTER } from '../../../firmware-contracts/v1/topics.ts';
import { Fault } from '../../../shared/faults.ts';
import type { Bus, Clock, Inbox, Log } from '../../ports.ts';

/** A subscriber that does not read for this long is cut off, so that it cannot stall the others. */
const DRAIN_TIMEOUT_MS = 10_000;
/** Most clients at once. */
export const MAX_CLIENTS = 1_000;

export type BrokerDeps = {
  readonly host: string;
  readonly port: number;
  readonly inbox: Inbox;
  readonly clock: Clock;
  readonly log: Log;
};

/**
 * The embedded MQTT 3.1.1 broker. A pack of readings is committed before it is acknowledged: the
 * acknowledgement waits for the inbox. No session outlives its connection, so no queue can grow unbounded.
 * @throws Fault `port-in-use` or `bad-setting` when it cannot listen
 */
export async function startBroker(deps: BrokerDeps): Promise<Bus> {
  const broker = await Aedes.createBroker({
    drainTimeout: DRAIN_TIMEOUT_MS,
    maxClientsIdLength: 128,
    preConnect(_client, packet, done) {
      packet.clean = true;
      done(null, broker.connectedClients < MAX_CLIENTS);
    },
    authorizePublish: (_client, packet, done) => authorize(deps, packet, done),
  });
  broker.on('clientError', (client, error) => {
    deps.log.warn('a device was cut off', { client: client.id, error: error.message });
  });
  broker.on('connectionError', (_client, error) => {
    deps.log.warn('a connection was refused', { error: error.message });
  });
  const server = createServer(broker.handle);
  await listen(server, deps);
  return {
    publishRetained: (topic, payload) =>
      broker.publish({ cmd: 'publish', topic, payload, qos: 1, retain: true, dup: false }, (error) => {
        if (error) deps.log.warn('a topic could not be published', { topic, error: error.message });
      }),
    connected: () => true,
    close: () =>
      new Promise((resolve) => {
        broker.close(() => server.close(() => resolve()));
      }),
  };
}

/** What a client may publish, Wills included; the daemon's own publishing does not pass here. */
function authorize(
  { inbox, clock, log }: BrokerDeps,
  packet: PublishPacket,
  done: (error?: Error) => void,
): void {
  const { topic, payload } = packet;
  if (!isFromDevice(topic)) {
    done(isOurs(topic) ? new Error(`only the daemon may publish on ${topic}`) : undefined);
    return;
  }
  const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
  inbox.offer({ topic, payload: bytes, arrivedAtMs: clock.nowMs(), retainedCopy: false }).then(
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
