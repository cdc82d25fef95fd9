import type { Alarm } from '../model/alarm.ts';
import type { HouseFacts, PlaceNow, PlaceSummary } from './http.ts';

/** Version of the messages at /live; a page that meets another version reloads itself. */
export const LIVE_VERSION = 1;
/** Code with which the feed closes on who may no longer listen (4000 to 4999 are ours, RFC 6455 section 7.4.2). */
export const LIVE_NO_LONGER = 4401;

/**
 * Messages from the daemon to a page. `snapshot` is the first after every connect and
 * replaces all the page knows; the others change one part of it. `seq` grows by one a
 * message on one connection; a hole means: connect again. A page that connects with `?parts=1` gets the state in
 * parts: the snapshot has the first, `part` the others, and what is in none of them is no longer there.
 */
export type LiveMessage =
  | {
      readonly v: 1;
      readonly seq: number;
      readonly type: 'snapshot';
      readonly atMs: number;
      readonly places: readonly PlaceSummary[];
      readonly alarms: readonly Alarm[];
      readonly house: HouseFacts;
      /** true: `part` messages with other places and alarms follow; absent or false: this is all */
      readonly more?: boolean;
    }
  | {
      readonly v: 1;
      readonly seq: number;
      readonly type: 'part';
      readonly atMs: number;
      readonly places: readonly PlaceSummary[];
      readonly alarms: readonly Alarm[];
      readonly more: boolean;
    }
  | {
      readonly v: 1;
      readonly seq: number;
      readonly type: 'now';
      readonly atMs: number;
      readonly now: PlaceNow;
    }
  | { readonly v: 1; readonly seq: number; readonly type: 'place'; readonly place: PlaceSummary }
  | { readonly v: 1; readonly seq: number; readonly type: 'place-gone'; readonly placeId: string }
  | { readonly v: 1; readonly seq: number; readonly type: 'alarm'; readonly alarm: Alarm }
  | { readonly v: 1; readonly seq: number; readonly type: 'house'; readonly house: HouseFacts }
  /** Something was heard for who watches or listens: numbers of the newest messages, which are asked for over HTTP. */
  | {
      readonly v: 1;
      readonly seq: number;
      readonly type: 'heard';
      readonly watched: number;
      readonly captured: number;
      /** grows with each message on a topic that nothing reads */
      readonly unread: number;
    }
  | { readonly v: 1; readonly seq: number; readonly type: 'beat'; readonly atMs: number };
