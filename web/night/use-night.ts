import { useEffect } from 'preact/hooks';
import type { Night } from '../../shared/wire/http.ts';
import { call } from '../api.ts';
import { useLoaded, useSettled } from '../common/hooks.ts';
import { wallTime } from '../common/time.ts';
import { known, link, nowMs, timeZone } from '../state.ts';
import { keptNightOf, keptNightText, NIGHT_KEY } from './kept-night.ts';

const RENEW_MS = 120_000;
const SETTLE_MS = 2_000;

type NightState = {
  readonly night: Night | null;
  /** as the installation's clock shows it, YYYY-MM-DD */
  readonly today: string;
  readonly wanted: string;
  readonly problem: string | null;
  /** it was true at `madeAt`, and nobody can say whether it still is */
  readonly isOld: boolean;
};

/** The night before a morning, asked for again every two minutes and when an alarm or a state changes while it is today's. */
export function useNight(date: string | null): NightState {
  const today = wallTime({ atMs: nowMs.value, timeZone: timeZone.value }).slice(0, 10);
  const wanted = date ?? today;
  const isToday = wanted === today;
  const alarms = known.value.alarms.map(({ id, state }) => `${id}:${state}`).join();
  const states = known.value.places.map(({ id, now }) => `${id}:${now.state}`).join();
  // a flood of alarms must not become one of questions
  const settled = useSettled(`${alarms} ${states}`, `${alarms} ${states}`, SETTLE_MS);
  const key = isToday ? `${wanted} ${Math.floor(nowMs.value / RENEW_MS)} ${settled}` : wanted;
  const { value, problem } = useLoaded<Night>(key, () =>
    call('getNight', { query: isToday ? {} : { date: wanted } }),
  );
  useEffect(() => {
    if (value === null || value.date !== today) return;
    try {
      localStorage.setItem(NIGHT_KEY, keptNightText(value));
    } catch {
      // a full or forbidden store costs the picture for the next visit, not this one
    }
  }, [value]);
  const fresh = value?.date === wanted ? value : null;
  const kept = fresh === null && problem !== null ? keptNightOf(localStorage.getItem(NIGHT_KEY)) : null;
  const night = fresh ?? (kept !== null && (isToday || kept.date === wanted) ? kept : null);
  return {
    night,
    today,
    wanted,
    problem,
    isOld: night !== null && isToday && (problem !== null || link.value !== 'live'),
  };
}
