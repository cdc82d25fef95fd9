import batchesFile from '../../../seeds/demo/batches.json' with { type: 'json' };
import benchFile from '../../../seeds/demo/bench.json' with { type: 'json' };
import caseFile from '../../../seeds/demo/case.json' with { type: 'json' };
import domeFile from '../../../seeds/demo/dome.json' with { type: 'json' };
import eventsFile from '../../../seeds/demo/events.json' with { type: 'json' };
import placesFile from '../../../seeds/demo/places.json' with { type: 'json' };
import weatherFile from '../../../seeds/demo/weather.json' with { type: 'json' };

export const BENCH = benchFile.values;
export const DOME = domeFile.values;
export const CASE = caseFile.values;
export const EVENTS = eventsFile.values;
export const WEATHER = weatherFile.values;

/** The batches of its invented growers, and how soon those answer alarms. */
export const DEMO_BATCHES = batchesFile;
/** The demo's places with the device of each, marked as demo in their names. */
export const DEMO_PLACES = placesFile.places;
export const BENCH_DEVICE = 'demo-mist-bench';
export const DOME_DEVICE = 'demo-bottle-dome';
export const CASE_DEVICE = 'demo-heated-case';

/** The physics advances by this much; every time of the demo is a multiple of it. */
export const PHYSICS_STEP_MS = 10_000;
export const DAY_MS = 86_400_000;

/** What distinguishes one demo from another; it never changes while the demo runs. */
export type DemoFrame = {
  readonly seed: number;
  /** local wall-clock time minus UTC, ms; one value throughout, so a clock change inside the record shows as an hour's shift */
  readonly utcOffsetMs: number;
  /** local day whose early morning ends the back record's last night; scripted events are counted back from it */
  readonly lastDay: number;
  /** when its back record ends, ms since epoch */
  readonly anchorMs: number;
};

/** One local moment: days since the epoch's local midnight, and the hour 0…24 of that day. */
export type LocalMoment = { readonly day: number; readonly hour: number };

/**
 * The local day and hour in which the demo's sun, people and timers live.
 * @param at time, ms since epoch; offset of local time from UTC, ms
 * @returns day, whole days; hour, 0 up to, not including, 24 h
 * @example localMoment({ tMs: 0, utcOffsetMs: 7_200_000 }) // { day: 0, hour: 2 }
 */
export function localMoment(at: { readonly tMs: number; readonly utcOffsetMs: number }): LocalMoment {
  const local = at.tMs + at.utcOffsetMs;
  const day = Math.floor(local / DAY_MS);
  return { day, hour: (local - day * DAY_MS) / 3_600_000 };
}

/**
 * The facts of a demo whose back record ends at a given time.
 * @param demo seed, whole number; end of the back record, ms since epoch; local time minus UTC, ms
 * @returns the frame; its last day is the one whose night is over at that end
 * @example demoFrame({ seed: 1, anchorMs: 0, utcOffsetMs: 43_200_000 }).lastDay // 0
 */
export function demoFrame(demo: {
  readonly seed: number;
  readonly anchorMs: number;
  readonly utcOffsetMs: number;
}): DemoFrame {
  const { seed, utcOffsetMs, anchorMs } = demo;
  const tMs = demo.anchorMs - EVENTS.lastMorningHour * 3_600_000;
  return { seed, utcOffsetMs, anchorMs, lastDay: localMoment({ tMs, utcOffsetMs }).day };
}

/** A scripted event: so many local days before the last morning, between two clock hours. */
type ScriptedEvent = {
  readonly daysBefore: number;
  readonly fromHour: number;
  readonly toHour: number;
};

/**
 * Whether a scripted event of the demo is under way.
 * @param event which; h of the local day
 * @param at local day and hour; the last morning's day
 * @returns true from its start up to its end
 * @example isUnderWay({ daysBefore: 1, fromHour: 2, toHour: 3 }, { moment: { day: 9, hour: 2.5 }, lastDay: 10 }) // true
 */
export function isUnderWay(
  event: ScriptedEvent,
  at: { readonly moment: LocalMoment; readonly lastDay: number },
): boolean {
  const { day, hour } = at.moment;
  return day === at.lastDay - event.daysBefore && hour >= event.fromHour && hour < event.toHour;
}
