import type {
  DeviceRow,
  DevicesAnswer,
  SecondClient,
  TurnedAwayWhy,
} from '../../shared/wire/probes/device.ts';
import { duration } from '../../shared/words/alarm.ts';
import { countText, fixed } from '../common/format.ts';
import { momentWords } from '../common/time.ts';

type Reader = { readonly timeZone: string; readonly nowMs: number };
type Fact = { readonly name: string; readonly words: string; readonly poor: boolean };

/** From here on a figure is marked. Common practice, no source. */
const BATTERY_LOW_PCT = 20;
const SIGNAL_POOR_DBM = -85;
const CLOCK_OFF_S = 60;
const LOST_SHARE = 0.02;

/**
 * How a device is let in, in a few words.
 * @param at whether a sign-in is needed, and whether the broker is its own
 */
export function loginWords(
  { login }: Pick<DeviceRow, 'login'>,
  { closed, embedded }: { closed: boolean; embedded: boolean },
): string {
  if (login === null && !embedded) return 'as your broker lets it in';
  if (login === null) return closed ? 'by the shared login' : 'without a login';
  return { enabled: 'own secret', disabled: 'disabled', retired: 'retired' }[login.state];
}

/** When it last reported, and whether it is connected; one sentence. */
export function presenceWords(row: DeviceRow, reader: Reader): string {
  const { seenAt, connections } = row;
  if (seenAt === null) return 'It has not reported yet.';
  const ago = `Last reported ${duration(Math.max(0, reader.nowMs - Date.parse(seenAt)))} ago`;
  const [first] = connections;
  if (!first) return `${ago}.`;
  const since = momentWords({ atMs: Date.parse(first.since), ...reader });
  const more = connections.length > 1 ? `, ${connections.length} connections` : '';
  return `${ago}; connected from ${first.address} since ${since}${more}.`;
}

/** What is known of a device, fact by fact; what nothing is known of is left out. */
export function deviceFacts(row: DeviceRow, reader: Reader): Fact[] {
  const { status, batteryPct, clockAheadS, cadenceS } = row;
  const facts: (Fact | null)[] = [
    status && {
      name: 'says',
      words: [status.state, status.firmware].filter(Boolean).join(', '),
      poor: status.state === 'offline',
    },
    fact('battery', batteryPct, (pct) => [`${fixed(pct, 0)} %`, pct < BATTERY_LOW_PCT]),
    fact('signal', status?.signalDbm ?? null, (dbm) => [`${fixed(dbm, 0)} dBm`, dbm < SIGNAL_POOR_DBM]),
    fact('clock', clockAheadS, (s) => [clockWords(s), Math.abs(s) >= CLOCK_OFF_S]),
    fact('sends every', cadenceS, (s) => [duration(s * 1_000), false]),
    lostFact(row),
    fact('dropped', status?.dropped ?? null, (n) => [`${countText(n)} in its own buffer`, n > 0]),
    countsFact(row),
    row.login && {
      name: 'secret',
      words: `made ${momentWords({ atMs: Date.parse(row.login.secretAt), ...reader })}`,
      poor: false,
    },
  ];
  return facts.filter((one) => one !== null);
}

function fact(name: string, value: number | null, say: (value: number) => [string, boolean]): Fact | null {
  if (value === null) return null;
  const [words, poor] = say(value);
  return { name, words, poor };
}

function clockWords(aheadS: number): string {
  if (Math.abs(aheadS) < 5) return 'within 5 s of ours';
  return `${duration(Math.abs(aheadS) * 1_000)} ${aheadS > 0 ? 'ahead of' : 'behind'} ours`;
}

function lostFact({ lost }: DeviceRow): Fact | null {
  if (lost === null) return null;
  const { missing, expected, longestGapS } = lost;
  const gap = missing > 0 ? `, longest gap ${duration(longestGapS * 1_000)}` : '';
  const words = `${countText(missing)} of ${countText(expected)} readings in 24 h${gap}`;
  return { name: 'missing', words, poor: missing > LOST_SHARE * expected };
}

function countsFact({ packs, repeats, conflicts, refused }: DeviceRow): Fact | null {
  if (packs === 0) return null;
  const more = [
    repeats > 0 && `${counted(repeats, 'reading')} sent again`,
    conflicts > 0 && counted(conflicts, 'conflict'),
    refused > 0 && `${countText(refused)} rejected`,
  ].filter(Boolean);
  const words = [countText(packs), ...more].join(', ');
  return { name: 'packs', words: `${words}, since the start`, poor: refused + conflicts > 0 };
}

function counted(n: number, noun: string): string {
  return `${countText(n)} ${noun}${n === 1 ? '' : 's'}`;
}

/** What suggests a second client, and what to do. */
export function secondWords({ kind, times, withinMin, addresses }: SecondClient): string {
  const from = addresses.length === 0 ? '' : ` Seen from ${addresses.join(', ')}.`;
  const often = `${times === 1 ? 'once' : `${times} times`} in ${withinMin} min`;
  if (kind === 'restless')
    return `It went offline ${often}: a poor network or power, or two devices of one name.${from}`;
  const what =
    kind === 'alternating'
      ? `Two clients publish as this device by turns, ${often}.`
      : `A second client with this name disconnected the first, ${often}.`;
  return `${what} Give each device its own name and secret; a new secret shuts out who should not have it.${from}`;
}

const WHY: Readonly<Record<TurnedAwayWhy, string>> = {
  anonymous: 'without a login',
  'bad-login': 'with a name and secret that do not fit',
  'device-disabled': 'as a device that is disabled or retired',
  'client-id': 'under the client id of a device with a secret of its own',
  'other-topic': 'for writing on the topic of another device',
  'no-topic': 'for writing on a topic that is none of a device',
  'too-many-connections': 'as there were too many connections',
  'no-login-in-time': 'for not logging in within 10 s',
  'packet-too-large': 'for a packet that is too large',
  'bad-packet': 'for sending what is no MQTT packet',
  'reads-too-slowly': 'for reading too slowly',
  subscription: 'for a subscription that is too long, or one too many',
  'topic-too-long': 'for a topic that is too long',
  'page-connections': 'at the page, as there were too many connections',
  'page-request-late': 'at the page, for a request that did not come in time',
  'page-websockets': 'at the page, as too many pages were open',
  'page-reads-too-slowly': 'at the page, for reading too slowly',
};

/** Why one was turned away. */
export function turnedAwayWords(why: TurnedAwayWhy): string {
  return WHY[why];
}

/** How many were turned away, and why. */
export function turnedAwaySum({ byWhy }: DevicesAnswer['turnedAway']): string {
  return Object.entries(WHY)
    .flatMap(([why, words]) => (byWhy[why] ? [`${countText(byWhy[why])} ${words}`] : []))
    .join('; ');
}

/** Those that may log in first, retired ones last; by name. */
export function inOrder(devices: readonly DeviceRow[]): DeviceRow[] {
  const last = ({ login }: DeviceRow) => (login?.state === 'retired' ? 1 : 0);
  return [...devices].sort(
    (a, b) => last(a) - last(b) || a.device.localeCompare(b.device, 'en', { numeric: true }),
  );
}
