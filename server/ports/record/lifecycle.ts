import type { Place } from '../../../shared/model/place.ts';
import type { Probe } from '../../../shared/model/probes/probe.ts';
import type { ArchiveContents, ArchiveKind } from '../../../shared/wire/lifecycle.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { ArchiveScope } from '../../domain/lifecycle/scope.ts';
import type { WaitingDevice } from '../../domain/lifecycle/waiting.ts';
import type { RawMessage } from '../edge.ts';

export type { ArchiveScope, ArchiveTarget } from '../../domain/lifecycle/scope.ts';

/** Devices that wait, what they sent, and what was dropped of it. Changes happen inside the caller's transaction. */
export type WaitingRecord = {
  /** in the order in which they came */
  devices(): WaitingDevice[];
  save(device: WaitingDevice): void;
  keepPack(device: string, message: RawMessage): void;
  /** in the order in which they came */
  packs(device: string): RawMessage[];
  /** Drops the oldest packs of a device until it holds no more than this; they are counted. */
  trim(device: string, bounds: { readonly packs: number; readonly bytes: number }): void;
  /** Forgets a device with its packs. */
  forget(device: string): void;
  totals(): { readonly dropped: number; readonly turnedAway: number };
  count(more: { readonly dropped: number; readonly turnedAway: number }): void;
};

/** An alarm of a place that goes on without some probes, before they went and after. */
export type AlarmEnded = { readonly before: AlarmRecord; readonly after: AlarmRecord };

export type ArchiveBody = {
  readonly contents: ArchiveContents;
  readonly alarms: readonly AlarmEnded[];
  /** the login of a device that was archived, as it was; null without one */
  readonly login: 'enabled' | 'disabled' | null;
};

/** What was archived or deleted; times in ms since epoch. */
export type ArchiveItem = {
  readonly id: number;
  readonly kind: ArchiveKind;
  readonly name: string;
  readonly state: 'archived' | 'deleted' | 'removing';
  readonly sinceMs: number;
  readonly by: string | null;
  readonly countedDays: number;
  readonly countedMs: number;
  readonly body: ArchiveBody;
};

/** Ids and names that are taken by what was archived or deleted, each with the item that holds it. */
export type ArchivedNames = {
  readonly places: readonly { readonly placeId: string; readonly itemId: number }[];
  readonly probes: readonly { readonly device: string; readonly name: string; readonly itemId: number }[];
};

/** The archive: what is in it is in no list of places, probes and alarms. Changes happen inside a transaction. */
export type ArchiveRecord = {
  items(): ArchiveItem[];
  count(): number;
  item(id: number): ArchiveItem | null;
  add(item: Omit<ArchiveItem, 'id'>, scope: ArchiveScope): ArchiveItem;
  /** Keeps another state, its time, who ordered it, and the days counted. */
  update(item: ArchiveItem): void;
  /** Makes live again what the item holds, and forgets the item. */
  putBack(id: number): void;
  names(): ArchivedNames;
  places(id: number): Place[];
  /** all, also those that went to the archive before their place did */
  probes(id: number): Probe[];
  /** An archived place that is not being removed, with all its probes and alarms; null when there is none. */
  place(placeId: string): { place: Place; probes: Probe[]; alarms: AlarmRecord[] } | null;
  /** Removes a little of an item that is being removed, in transactions of its own. @returns true while more is left */
  removeSome(id: number): boolean;
};
