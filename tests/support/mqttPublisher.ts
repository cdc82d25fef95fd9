import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { connectAsync, type IClientOptions } from 'mqtt';
import { plainEnvironment, toolPath } from './environment.ts';
import { checkPublished } from './sent-check.ts';

export type Login = { readonly user: string; readonly password: string };

export type BrokerAddress = {
  /** `mqtt://` or `mqtts://` */
  readonly url: string;
  readonly login?: Login;
  readonly caFile?: string | null;
};

export type Message = {
  readonly topic: string;
  readonly payload: string | Buffer;
  readonly retain?: boolean;
  /** 1 by default */
  readonly qos?: 0 | 1 | 2;
};

export type Publisher = {
  /** resolves when the broker has acknowledged (PUBACK of QoS 1), or at once with QoS 0; rejects when the connection is lost */
  publish(message: Message): Promise<void>;
  close(): Promise<void>;
  /** ends without waiting for what is not acknowledged */
  abandon(): Promise<void>;
};

/**
 * Connects a plain MQTT client that publishes, with QoS 1 unless told, and does not reconnect.
 *
 * @param broker its address, login and authority
 * @param protocolVersion 4 for MQTT 3.1.1 (the default), 5 for MQTT 5
 * @returns the connected publisher
 */
export async function connectPublisher(
  broker: BrokerAddress,
  protocolVersion: 4 | 5 = 4,
): Promise<Publisher> {
  const client = await connectAsync(broker.url, optionsFor(broker, protocolVersion), false);
  client.on('error', () => undefined);
  const lost = Promise.withResolvers<never>();
  lost.promise.catch(() => undefined);
  client.once('close', () => lost.reject(new Error(`the connection to ${broker.url} was lost`)));
  return {
    publish: async ({ topic, payload, retain = false, qos = 1 }) => {
      // What is under way when the connection goes, mqtt.js keeps for a reconnect that never comes.
      await Promise.race([client.publishAsync(topic, payload, { qos, retain }), lost.promise]);
    },
    close: () => client.endAsync(),
    abandon: () => client.endAsync(true),
  };
}

export type Received = { readonly topic: string; readonly payload: string; readonly retained: boolean };

export type Subscriber = {
  /** everything received so far, oldest first */
  readonly received: readonly Received[];
  close(): Promise<void>;
};

/**
 * Connects a plain MQTT client that notes what it is sent.
 *
 * @param broker its address, login and authority
 * @param filter what to subscribe to, with QoS 1
 * @returns the subscriber, once the broker has granted the subscription
 */
export async function connectSubscriber(broker: BrokerAddress, filter: string): Promise<Subscriber> {
  const received: Received[] = [];
  const client = await connectAsync(broker.url, optionsFor(broker, 4), false);
  client.on('error', () => undefined);
  client.on('message', (topic, payload, packet) => {
    const message = { topic, payload: payload.toString('utf8'), retained: packet.retain };
    checkPublished(message);
    received.push(message);
  });
  await client.subscribeAsync(filter, { qos: 1 });
  return { received, close: () => client.endAsync() };
}

function optionsFor(broker: BrokerAddress, protocolVersion: 4 | 5): IClientOptions {
  return {
    protocolVersion,
    reconnectPeriod: 0,
    connectTimeout: 10_000,
    ...(broker.login === undefined ? {} : { username: broker.login.user, password: broker.login.password }),
    ...(broker.caFile == null ? {} : { ca: readFileSync(broker.caFile) }),
  };
}

/**
 * Publishes with Mosquitto's own command, one message a line, QoS 1.
 *
 * @param broker its address, login and authority
 * @param message the topic, and the payloads, which hold no line break
 * @throws Error with what the command said when it failed
 */
export async function mosquittoPub(
  broker: BrokerAddress,
  message: { readonly topic: string; readonly payloads: readonly string[] },
): Promise<void> {
  const { hostname, port } = new URL(broker.url);
  const args = ['-h', hostname, '-p', port, '-q', '1', '-t', message.topic, '-l'];
  if (broker.login !== undefined) args.push('-u', broker.login.user, '-P', broker.login.password);
  if (broker.caFile != null) args.push('--cafile', broker.caFile);
  const child = spawn(toolPath('mosquittoPub'), args, {
    env: plainEnvironment(),
    stdio: ['pipe', 'ignore', 'pipe'],
  });
  let said = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    said += text;
  });
  const ended = Promise.withResolvers<number | null>();
  child.once('error', ended.reject);
  child.once('close', ended.resolve);
  child.stdin.on('error', () => undefined);
  child.stdin.end(message.payloads.map((payload) => `${payload}\n`).join(''));
  const code = await ended.promise;
  if (code !== 0) throw new Error(`mosquitto_pub ended with ${code}: ${said}`);
}
