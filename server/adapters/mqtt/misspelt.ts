import { connect, type MqttClient } from 'mqtt';
import type { Log, RawMessage } from '../../ports.ts';
import type { DeviceBroker } from './publisher.ts';

const CONNECT_LIMIT_MS = 10_000;
/** It is no hurry: a misspelt topic comes again. */
const RECONNECT_MS = 30_000;
/** What our topics begin with, and what ends like them. A filter knows no other way to be near a word. */
const FILTERS = ['strikewell/#', 'Strikewell/#', 'STRIKEWELL/#', '+/1/+/readings', '+/1/+/status'];
/** Granted QoS of a subscription that the broker refuses. @source MQTT 3.1.1 section 3.9.3 */
const REFUSED = 128;

type MisspeltDeps = {
  readonly broker: DeviceBroker;
  readonly nowMs: () => number;
  readonly log: Log;
  readonly received: (message: RawMessage) => void;
};

export type MisspeltListener = {
  state(): 'listening' | 'refused' | 'away';
  close(): Promise<void>;
};

/**
 * Listens at an outside broker, on a connection of its own and at QoS 0, so that topics nobody reads are seen. A broker
 * that refuses the subscription is left in peace, and that is said once.
 */
export function listenForMisspelt({ broker, nowMs, log, received }: MisspeltDeps): MisspeltListener {
  const { url, ...credentials } = broker;
  let state: 'listening' | 'refused' | 'away' = 'away';
  const client = connect(url, {
    ...credentials,
    protocolVersion: 4,
    clean: true,
    reconnectPeriod: RECONNECT_MS,
    connectTimeout: CONNECT_LIMIT_MS,
  });
  client.on('message', (topic, payload, { retain }) =>
    received({ topic, payload, arrivedAtMs: nowMs(), retainedCopy: retain }),
  );
  // the connection that readings come by says what is wrong with the broker
  client.on('error', () => undefined);
  client.on('close', () => {
    if (state === 'listening') state = 'away';
  });
  client.on('connect', () => {
    void mayListen(client).then((may) => {
      if (may) state = 'listening';
      else if (state !== 'refused') {
        state = 'refused';
        log.info('the broker shows only our own topics: one that is misspelt cannot be seen here');
        client.end(true);
      }
    });
  });
  return { state: () => state, close: () => client.endAsync(true) };
}

/** Whether the broker grants one of the filters at least. */
async function mayListen(client: MqttClient): Promise<boolean> {
  try {
    const granted = await client.subscribeAsync(FILTERS, { qos: 0 });
    return granted.some(({ qos }) => (qos as number) !== REFUSED);
  } catch {
    return false;
  }
}
