import { alarmTopic, HEARTBEAT_TOPIC, placeNowTopic } from '../../firmware-contracts/v1/topics.ts';
import { alarmWords } from '../../shared/words/alarm.ts';
import type { Bus, LiveFeed } from '../ports.ts';
import { viewOf } from './annunciate.ts';
import { nowOf, type QueryContext, summary } from './present.ts';

/** Every so often the daemon says that it lives, ms: the contract's heartbeat. */
export const HEARTBEAT_EVERY_MS = 30_000;

export type Teller = ReturnType<typeof createTeller>;

/** Tells pages and topics what changed, after it was committed. What is heard often is told at its own pace. */
export function createTeller(context: QueryContext, feed: LiveFeed) {
  const { world, clock, timeZone } = context;
  const heardForPages = new Set<string>();
  const heardForTopics = new Set<string>();
  let bus: Bus | null = null;
  let houseTold = '';

  const alarm = (alarmId: string) => {
    const record = world.alarms.get(alarmId);
    if (!record) return;
    const view = viewOf(record, world);
    if (record.raisedAtMs !== null) feed.alarm(view);
    const words = alarmWords(view, { unit: 'C', timeZone, nowMs: clock.nowMs() });
    bus?.publishRetained(alarmTopic(alarmId), JSON.stringify({ ...view, words }));
  };
  const heartbeat = () => {
    const time = new Date(clock.nowMs()).toISOString();
    bus?.publishRetained(
      HEARTBEAT_TOPIC,
      JSON.stringify({ state: 'online', time, intervalS: HEARTBEAT_EVERY_MS / 1000 }),
    );
  };
  const topics = () => {
    for (const placeId of heardForTopics) {
      const place = world.places.get(placeId);
      const payload = place ? JSON.stringify({ name: place.name, ...nowOf(place, context) }) : '';
      bus?.publishRetained(placeNowTopic(placeId), payload);
    }
    heardForTopics.clear();
  };
  const house = () => {
    const facts = context.house();
    const text = JSON.stringify(facts);
    if (text !== houseTold) feed.house(facts);
    houseTold = text;
  };

  return {
    alarm,
    heartbeat,
    topics,
    heard(placeIds: Iterable<string>) {
      for (const placeId of placeIds) {
        heardForPages.add(placeId);
        heardForTopics.add(placeId);
      }
    },
    place(placeId: string) {
      const place = world.places.get(placeId);
      if (place) feed.place(summary(place, context));
      else feed.placeGone(placeId);
      heardForTopics.add(placeId);
      house();
    },
    pages() {
      for (const placeId of heardForPages) {
        const place = world.places.get(placeId);
        if (place) feed.now(nowOf(place, context));
      }
      heardForPages.clear();
    },
    house,
    /** From now on topics go out on this bus; all of them go out once. */
    attach(ready: Bus) {
      bus = ready;
      for (const placeId of world.places.keys()) heardForTopics.add(placeId);
      for (const alarmId of world.alarms.keys()) alarm(alarmId);
      heartbeat();
      topics();
    },
  };
}
