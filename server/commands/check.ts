import { readFileSync } from 'node:fs';
import { DEVICE_NAME } from '../../firmware-contracts/v1/limits.ts';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { Fault } from '../../shared/faults.ts';
import { listenToReadings } from '../adapters/mqtt/listener.ts';
import { knownPlaces } from '../adapters/sqlite/tables/known-places.ts';
import { systemClock as clock, systemTimers as timers } from '../adapters/system/clock.ts';
import { holdsBytes } from '../adapters/system/files/aside.ts';
import { readNamedFile } from '../adapters/system/files/files.ts';
import type { Settings } from '../config.ts';
import { type Verdict, verdictOf } from '../domain/ingest/verdict.ts';
import { verdictLines } from '../domain/ingest/verdict-words.ts';
import type { RawMessage } from '../ports.ts';
import type { Command, Given } from './command.ts';
import { textOption } from './options.ts';
import { recordFileIn } from './record-file.ts';

const MAX_LISTEN_S = 86_400;
const STANDARD_INPUT = 0;

/** Says what would happen to a payload, without storing it, or of every message of a live topic. */
export const check: Command = {
  summary: 'say of a payload what would be stored and where, or why not; exit code 1 when a pack is refused',
  usage:
    '[FILE] [--device NAME] [--retained] [--json] [--config FILE]\n' +
    '       strikewell check --listen SECONDS [--device NAME] [--json] [--config FILE]\n\n' +
    'Reads the payload of one message from FILE, or from standard input. --device is the device of its topic\n' +
    '("device" unless given). --listen watches the broker instead, all devices or one; no message is exit code 1.',
  options: {
    device: { type: 'string' },
    listen: { type: 'string' },
    retained: { type: 'boolean' },
    json: { type: 'boolean' },
  },
  async run(given) {
    const { values, words, settings } = given;
    const seconds = textOption(values, 'listen');
    if (words.length > (seconds === null ? 1 : 0))
      throw badRequest(`"${words.at(-1)}" is an unexpected argument; see strikewell check --help.`);
    const judge = judgeOver(settings, given);
    if (seconds !== null) return { code: await listen(given, { seconds: secondsOf(seconds), judge }) };
    const topic = readingsTopic(deviceOf(given) ?? 'device');
    const payload = payloadOf(words[0]);
    const retainedCopy = values['retained'] === true;
    const verdict = judge({ topic, payload, arrivedAtMs: clock.nowMs(), retainedCopy });
    return { code: verdict.ok ? 0 : 1 };
  },
};

type Judge = (message: RawMessage) => Verdict;

/** Judges by the record of the data folder where there is one, and says the verdict. */
function judgeOver({ dataDir }: Settings, { say, values }: Given): Judge {
  const file = recordFileIn(dataDir);
  const places = holdsBytes(file) ? knownPlaces(file) : new Map<string, string | null>();
  return (message) => {
    const verdict = verdictOf(message, ({ device, name }) => places.get(`${device}/${name}`));
    if (values['json']) say(JSON.stringify({ topic: message.topic, ...verdict }));
    else for (const line of verdictLines(verdict, message)) say(line);
    return verdict;
  };
}

/** @returns the exit code: 0 when something was received and all of it would be stored */
async function listen(given: Given, { seconds, judge }: { seconds: number; judge: Judge }): Promise<number> {
  const { settings, note } = given;
  const broker = brokerOf(settings);
  const counts = { received: 0, refused: 0 };
  const received = (message: RawMessage) => {
    counts.received += 1;
    if (!judge(message).ok) counts.refused += 1;
  };
  const listening = { device: deviceOf(given), nowMs: clock.nowMs, received };
  const end = await listenToReadings(broker, listening).catch((cause: unknown) => {
    const why = cause instanceof Error && cause.message !== '' ? cause.message : String(cause);
    throw badRequest(`The broker cannot be listened to: ${why}. Is strikewell, or your broker, running?`);
  });
  note(`Listening for ${seconds} s.`);
  await new Promise<void>((resolve) => timers.after(seconds * 1000, resolve));
  await end();
  note(`${counts.received} received, ${counts.refused} of them rejected.`);
  return counts.received > 0 && counts.refused === 0 ? 0 : 1;
}

function brokerOf(settings: Settings) {
  const { outsideBroker } = settings;
  if (outsideBroker === null) return embeddedBroker(settings);
  const { url, username, password, caFile } = outsideBroker;
  return {
    url,
    ...(username === null ? {} : { username }),
    ...(password === null ? {} : { password }),
    ...(caFile === null ? {} : { ca: readNamedFile({ key: 'STRIKEWELL_MQTT_CA_FILE', path: caFile }) }),
  };
}

/** The embedded broker, encrypted where its plain port is closed. */
function embeddedBroker({ host, mqttPort, mqttsPort, tls }: Settings) {
  const address = host.includes(':') ? `[${host}]` : host;
  if (mqttPort !== null || tls === null) return { url: `mqtt://${address}:${mqttPort}` };
  const pinned = readNamedFile({ key: 'STRIKEWELL_TLS_CERT', path: tls.certFile });
  return { url: `mqtts://${address}:${mqttsPort}`, pinned };
}

function deviceOf({ values }: Given): string | null {
  const device = textOption(values, 'device');
  if (device === null || DEVICE_NAME.test(device)) return device;
  throw badRequest(`--device is "${device}"; it must be 1 to 64 of A-Z a-z 0-9 - _ . and not . or ..`);
}

function secondsOf(text: string): number {
  const seconds = Number(text);
  if (seconds > 0 && seconds <= MAX_LISTEN_S) return seconds;
  throw badRequest(`--listen is "${text}"; it must be a number of seconds up to ${MAX_LISTEN_S}.`);
}

/** The bytes of one message. */
function payloadOf(path: string | undefined): Buffer {
  const bytes = path === undefined ? readFileSync(STANDARD_INPUT) : readNamedFile({ key: 'check', path });
  return bytes;
}

function badRequest(message: string): Fault {
  return new Fault({ code: 'bad-request', message });
}
