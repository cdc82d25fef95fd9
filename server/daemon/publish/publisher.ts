import { alarmTopic, HEARTBEAT_TOPIC, placeNowTopic } from '../../../firmware-contracts/v1/topics.ts';
import type { Place } from '../../../shared/model/place.ts';
import { ALARM_RULES } from '../../../shared/rules/rules.ts';
import type { AlarmMessage, Heartbeat, PlaceNowMessage } from '../../../shared/wire/topics.ts';
import { alarmWords } from '../../../shared/words/alarm.ts';
import { type AlarmRecord, newAlarm } from '../../domain/alarms/record.ts';
import { roundedAlarm, roundedNow } from '../../domain/topics/rounded.ts';
import type { Bus, LiveFeed, Timers } from '../../ports.ts';
import { guarded } from '../guard/guard.ts';
import type { Troubles } from '../guard/troubles.ts';
import { nowOf, type QueryContext, summary } from '../readout/present.ts';
import { isDemo } from '../world/is-demo.ts';
import { viewOf } from '../world/world-view.ts';
import { createPagePace } from './page-pace.ts';

/** Every so often the daemon says that it lives, ms: the contract's heartbeat. */
export const HEARTBEAT_EVERY_MS = 30_000;

type PublisherContext = QueryContext & {
  readonly timers: Timers;
  readonly troubles: Pick<Troubles, 'note'>;
};

export type Publisher = ReturnType<typeof createPublisher>;

/** Notifies pages and topics what changed, after it was committed. What changes often is sent at its own pace. */
export function createPublisher(context: PublisherContext, feed: LiveFeed) {
  const { world, troubles } = context;
  const topics = createTopics(context);
  const pages = createPagePace({
    timers: context.timers,
    send: (placeIds) => {
      for (const placeId of placeIds) {
        const place = world.places.get(placeId);
        const now = () => place && feed.now(nowOf(place, context));
        guarded(`page of ${place?.name ?? placeId}`, now, { troubles, otherwise: undefined });
      }
    },
  });
  let houseSent = '';

  const house = () => {
    const facts = context.house();
    const text = JSON.stringify(facts);
    if (text !== houseSent) feed.house(facts);
    houseSent = text;
  };

  return {
    alarm(alarmId: string) {
      const record = world.alarms.get(alarmId);
      if (!record) return;
      if (record.raisedAtMs !== null) feed.alarm(viewOf(record, world));
      if (record.placeId !== null) pages.changed(record.placeId);
      topics.alarm(record);
    },
    placesReporting(placeIds: readonly string[]) {
      pages.reporting(placeIds);
      topics.placesReporting(placeIds);
    },
    place(placeId: string) {
      const place = world.places.get(placeId);
      if (place) feed.place(summary(place, context));
      else feed.placeGone(placeId);
      topics.placesReporting([placeId]);
      house();
    },
    house,
    topics: topics.places,
    heartbeat: topics.heartbeat,
    attach: topics.attach,
    stop: pages.stop,
  };
}

/** The daemon's retained topics. What is gone is retained no longer. */
function createTopics(context: PublisherContext) {
  const { world, clock, timeZone, troubles } = context;
  const reporting = new Set<string>();
  let bus: Bus | null = null;

  const alarm = (record: AlarmRecord) => {
    const view = viewOf(record, world);
    const words = alarmWords(view, { unit: 'C', timeZone, nowMs: clock.nowMs() });
    // a buzzer would wake somebody for a demo bench
    const message: AlarmMessage = { ...roundedAlarm(view), words };
    const text = isDemo(record, world) ? '' : JSON.stringify(message);
    bus?.publishRetained(alarmTopic(record.id), text);
  };
  const forget = (placeId: string) => {
    bus?.publishRetained(placeNowTopic(placeId), '');
    for (const rule of ALARM_RULES) bus?.publishRetained(alarmTopic(newAlarm({ placeId, rule }).id), '');
  };
  const now = (place: Place) => {
    const message: PlaceNowMessage = { name: place.name, ...roundedNow(nowOf(place, context)) };
    bus?.publishRetained(placeNowTopic(place.id), JSON.stringify(message));
  };
  const places = () => {
    for (const placeId of reporting) {
      const place = world.places.get(placeId);
      if (!place) forget(placeId);
      else guarded(`topic of ${place.name}`, () => now(place), { troubles, otherwise: undefined });
    }
    reporting.clear();
  };
  const heartbeat = () => {
    const time = new Date(clock.nowMs()).toISOString();
    const alive: Heartbeat = { state: 'online', time, intervalS: HEARTBEAT_EVERY_MS / 1000 };
    bus?.publishRetained(HEARTBEAT_TOPIC, JSON.stringify(alive));
  };

  return {
    alarm,
    places,
    heartbeat,
    placesReporting(placeIds: readonly string[]) {
      for (const placeId of placeIds) reporting.add(placeId);
    },
    /** From now on topics go out on this bus; all of them go out once. */
    attach(ready: Bus) {
      bus = ready;
      for (const placeId of world.places.keys()) reporting.add(placeId);
      for (const record of world.alarms.values()) alarm(record);
      heartbeat();
      places();
    },
  };
}
