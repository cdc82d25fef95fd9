import { DEVICE_NAME } from '../../../firmware-contracts/v1/limits.ts';
import { parseDeviceTopic, readingsTopic, statusTopic } from '../../../firmware-contracts/v1/topics.ts';
import { editDistance } from './edit-distance.ts';
import { isDaemonTopic } from './ours.ts';

const ROOT = 'strikewell';
const VERSION = '1';
const KINDS = ['readings', 'status'] as const;
/** Words that are meant for a last level, beside those that resemble it. */
const MEANT: Readonly<Record<string, (typeof KINDS)[number]>> = {
  data: 'readings',
  telemetry: 'readings',
  values: 'readings',
  state: 'status',
  availability: 'status',
};
/** Differences up to which a level is taken for another, characters. */
const ROOT_WITHIN = 3;
const KIND_WITHIN = 3;
/** Longest device name that is suggested, characters. */
const MAX_DEVICE = 64;

type Nearest = {
  /** the topic that was probably meant */
  readonly suggestion: string;
  /** what is wrong, level by level, in words */
  readonly fault: string;
};

type Level = { readonly right: string; readonly fault: string | null };

/**
 * The topic of the contract that a misspelt one was probably meant to be.
 * @param topic as it was sent
 * @returns null for a topic of the contract, and for one that resembles none: another application's
 * @example
 * nearestTopic('strikewell/1/w1/reading')?.suggestion // 'strikewell/1/w1/readings'
 */
export function nearestTopic(topic: string): Nearest | null {
  if (parseDeviceTopic(topic) !== null || isDaemonTopic(topic)) return null;
  const all = topic.split('/');
  const levels = all.filter((level) => level.trim() !== '');
  const root = rootOf(levels[0] ?? '');
  if (root === null) return null;
  const rest = levels.slice(1);
  const version = versionOf(rest[0] ?? '');
  const named = version === null ? rest : rest.slice(1);
  const kind = kindOf(named);
  const device = deviceOf(named.filter((level) => level !== kind.level));
  const more = named.length > 2 ? 'more levels than four' : null;
  const empty = all.length > levels.length ? 'an empty level' : null;
  const faults = [root.fault, empty, version === null ? 'no version "1"' : version.fault, device.fault];
  const fault = [...faults, kind.fault, more].filter((words) => words !== null).join('; ');
  const suggestion = kind.right === 'readings' ? readingsTopic(device.right) : statusTopic(device.right);
  return { suggestion, fault };
}

function rootOf(level: string): Level | null {
  if (level === ROOT) return { right: ROOT, fault: null };
  if (editDistance(level.toLowerCase(), ROOT) > ROOT_WITHIN) return null;
  return { right: ROOT, fault: `"${short(level)}" in place of "${ROOT}"` };
}

/** The level as a version; null when it is none, and so perhaps the device. */
function versionOf(level: string): Level | null {
  if (level === VERSION) return { right: VERSION, fault: null };
  if (!/^(v?\d{1,2}|v\d{1,2}\.\d{1,2})$/i.test(level)) return null;
  return { right: VERSION, fault: `"${level}" in place of the version "${VERSION}"` };
}

/** Readings or status, by the level that resembles one most, from the end. */
function kindOf(
  levels: readonly string[],
): Level & { readonly right: string; readonly level: string | null } {
  for (const level of levels.toReversed()) {
    const kind = kindNear(level);
    if (kind === null) continue;
    return { right: kind, level, fault: kind === level ? null : `"${short(level)}" in place of "${kind}"` };
  }
  return { right: 'readings', level: null, fault: 'no "readings" at its end' };
}

function kindNear(level: string): string | null {
  const small = level.toLowerCase();
  const near = KINDS.find((kind) => editDistance(small, kind) <= KIND_WITHIN && small.length > KIND_WITHIN);
  return near ?? MEANT[small] ?? null;
}

function deviceOf(levels: readonly string[]): Level {
  const level = levels[0];
  if (level === undefined) return { right: 'DEVICE', fault: 'no name of a device' };
  if (DEVICE_NAME.test(level)) return { right: level, fault: null };
  const kept = level.normalize('NFKD').replace(/\p{M}/gu, '').trim();
  const right = kept.replace(/[^A-Za-z0-9_.-]+/g, '-').slice(0, MAX_DEVICE);
  const fault = `"${short(level)}" holds characters that no device name may hold`;
  return { right: DEVICE_NAME.test(right) ? right : 'DEVICE', fault };
}

function short(level: string): string {
  return level.replace(/\p{C}/gu, '?').slice(0, 40);
}
