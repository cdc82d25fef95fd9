import { MAX_PAYLOAD_BYTES, MAX_RECORDS } from '../../../../firmware-contracts/v1/limits.ts';
import type { SenmlRecord } from '../../../../firmware-contracts/v1/readings.ts';
import type { Probe } from '../../../../shared/model/probes/probe.ts';
import { readName } from '../../ingest/name.ts';
import { momentsOf, sentUnit, type Track } from '../read/tracks.ts';

type WrittenPack = { readonly device: string; readonly json: string };

/** Room left in a payload for the base record and brackets, bytes. */
const BASE_BYTES = 400;

/**
 * Readings as SenML packs, at most 500 records and 64 KiB each, one device a pack, in the order of time; decoding them
 * gives the same probes, times and values bit for bit.
 * @source [RFC8428] sections 4.1 and 4.5
 */
export function senmlPacks(tracks: readonly Track[]): WrittenPack[] {
  const devices = [...new Set(tracks.map(({ probe }) => probe.device))];
  return devices.flatMap((device) => {
    const own = tracks.filter(({ probe }) => probe.device === device);
    return packsOf(device, own).map((json) => ({ device, json }));
  });
}

function packsOf(device: string, tracks: readonly Track[]): string[] {
  const names = tracks.map(({ probe }) => packName(probe));
  const bn = names.every((name) => name.startsWith(`${device}/`)) ? `${device}/` : '';
  const heads = tracks.map(({ probe }, i) => {
    const u = sentUnit(probe);
    return { n: names[i]?.slice(bn.length) ?? '', ...(u === null ? {} : { u }) };
  });
  const packs: string[] = [];
  let records: string[] = [];
  let bytes = BASE_BYTES;
  let bt = 0;
  const close = () => {
    if (records.length > 0) packs.push(`[${records.join(',')}]`);
    records = [];
    bytes = BASE_BYTES;
  };
  for (const { tMs, values } of momentsOf(tracks)) {
    for (const [i, v] of values.entries()) {
      const head = heads[i];
      if (v === null || !head) continue;
      if (records.length === 0) bt = Math.floor(tMs / 1000);
      const base: SenmlRecord = records.length > 0 ? {} : { ...(bn === '' ? {} : { bn }), bt };
      const afterMs = tMs - bt * 1000;
      const record = JSON.stringify({ ...base, ...head, v, ...(afterMs === 0 ? {} : { t: afterMs / 1000 }) });
      records.push(record);
      // names and units are ASCII, so characters are bytes
      bytes += record.length + 1;
      if (records.length === MAX_RECORDS || bytes > MAX_PAYLOAD_BYTES - BASE_BYTES) close();
    }
  }
  close();
  return packs;
}

/** `<device>/<probe>`, but for a device called like a position, whose own probes would be read as well-known ones. */
function packName({ device, name }: Probe): string {
  const whole = `${device}/${name}`;
  const read = readName({ name: whole, device });
  return 'probe' in read && read.probe === name ? whole : name;
}
