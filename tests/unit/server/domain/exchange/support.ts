import fc from 'fast-check';
import {
  createCsvFile,
  createSenmlFile,
  type FileItem,
  type FileOrder,
  type FileReader,
} from '../../../../../server/domain/exchange/read/file-reader.ts';
import type { Track } from '../../../../../server/domain/exchange/read/tracks.ts';
import type { Probe } from '../../../../../shared/model/probes/probe.ts';
import { PROBE_QUANTITIES, type ProbeQuantityName } from '../../../../../shared/quantities.ts';

/** 2026-12-01: after every time these tests read. */
export const NOW_MS = Date.UTC(2026, 11, 1);

const ORDER: FileOrder = { device: 'bench', mapping: null, zone: null, repeatedHour: null, nowMs: NOW_MS };

export type ReadFile = { readonly items: readonly FileItem[]; readonly reader: FileReader };

/** Reads a text as a file, given in pieces of so many characters. */
function readWith(make: (order: FileOrder) => FileReader) {
  return (text: string, order: Partial<FileOrder> = {}, pieceChars = 1_000): ReadFile => {
    const reader = make({ ...ORDER, ...order });
    const items: FileItem[] = [];
    for (let at = 0; at < text.length; at += pieceChars)
      items.push(...reader.push(text.slice(at, at + pieceChars)));
    items.push(...reader.end());
    return { items, reader };
  };
}

export const readCsv = readWith(createCsvFile);
export const readSenml = readWith(createSenmlFile);

export type Point = { readonly probe: string; readonly tMs: number; readonly value: number };

/** All readings of a file, by probe and time. */
export function pointsOf(items: readonly FileItem[]): Point[] {
  const points = items.flatMap((item) => (item.kind === 'readings' ? item.readings : []));
  return sorted(points.map(({ probe, tMs, value }) => ({ probe, tMs, value })));
}

/** The bad rows of a file, `line: reason`. */
export function badOf(items: readonly FileItem[]): string[] {
  return items.flatMap((item) => (item.kind === 'bad' ? [`${item.line}: ${item.reason}`] : []));
}

export function sorted(points: readonly Point[]): Point[] {
  return points.toSorted((a, b) => a.probe.localeCompare(b.probe) || a.tMs - b.tMs);
}

/** The readings of tracks, by probe and time. */
export function pointsOfTracks(tracks: readonly Track[]): Point[] {
  return sorted(
    tracks.flatMap(({ probe, timesMs, values }) =>
      Array.from({ length: timesMs.length }, (_, i) => ({
        probe: probe.name,
        tMs: timesMs[i] ?? Number.NaN,
        value: values[i] ?? Number.NaN,
      })),
    ),
  );
}

/** A probe of a device. */
export function probeNamed(name: string, { device = 'bench', unit = '', id = 1 } = {}): Probe {
  const base = name.replace(/\/\d+$/, '');
  const quantity = Object.hasOwn(PROBE_QUANTITIES, base) ? (base as ProbeQuantityName) : null;
  const own = quantity === null ? unit : PROBE_QUANTITIES[quantity].unit;
  return { id, device, name, quantity, unit: own, placeId: quantity === null ? null : device, conflicts: 0 };
}

/** Values a probe can have; −0 is none, because a reading of it is stored as 0. */
function valuesOf({ quantity }: Probe): fc.Arbitrary<number> {
  const { low, high } =
    quantity === null
      ? { low: -Number.MAX_VALUE, high: Number.MAX_VALUE }
      : PROBE_QUANTITIES[quantity as ProbeQuantityName];
  return fc.double({ min: low, max: high, noNaN: true }).map((value) => value + 0);
}

const EARLIEST_MS = Date.UTC(1978, 6, 5);

function trackOf(probe: Probe): fc.Arbitrary<Track> {
  const time = fc.oneof(
    fc.integer({ min: EARLIEST_MS, max: NOW_MS }),
    fc.integer({ min: 0, max: 900 }).map((s) => Date.UTC(2026, 5, 1) + s * 1_000),
  );
  return fc
    .uniqueArray(fc.tuple(time, valuesOf(probe)), { selector: ([tMs]) => tMs, maxLength: 40 })
    .map((rows) => {
      const ordered = rows.toSorted(([a], [b]) => a - b);
      return { probe, timesMs: ordered.map(([tMs]) => tMs), values: ordered.map(([, value]) => value) };
    });
}

/** Readings of well-known and other probes of one device, whatever its name. */
export const tracksArbitrary: fc.Arbitrary<Track[]> = fc
  .tuple(
    fc.constantFrom('bench', '-odd.1', 'root', '_', 'air'),
    fc.subarray(
      [
        'root/temperature',
        'air/temperature',
        'air/temperature/2',
        'air/humidity',
        'leaf/wetness',
        'battery/level',
        'co2',
        'x:y',
      ],
      { minLength: 1 },
    ),
    fc.constantFrom('', 'ppm', 'kg'),
  )
  .chain(([device, names, unit]) =>
    fc.tuple(...names.map((name, id) => trackOf(probeNamed(name, { device, unit, id })))),
  )
  .filter((tracks) => tracks.some(({ timesMs }) => timesMs.length > 0));
