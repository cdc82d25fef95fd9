import { type Extreme, extremeOf } from '../../../shared/exposure/extreme.ts';
import { MS_PER_HOUR } from '../../../shared/exposure/series.ts';
import { thresholdSpans } from '../../../shared/exposure/threshold.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { PlaceFacts } from '../../../shared/wire/places/morning.ts';
import { MIST_OVER_MS, VENTS_OVER_MS } from '../../../shared/words/morning/water.ts';
import { type LocalDay, localDays } from '../../domain/calendar/days.ts';
import { curveOf } from '../../domain/exposures/curves.ts';
import type { Span } from '../../ports.ts';
import { mistOf, ventsIn } from '../readout/details.ts';
import type { QueryContext } from '../readout/present.ts';
import { measuredAt, recordsOf } from '../world/records.ts';
import { exposuresOver } from '../world/settled-exposures.ts';

type ClimateFacts = Pick<
  PlaceFacts,
  'highestAir' | 'lowestRootZone' | 'highestVpd' | 'mat' | 'matOnHours' | 'vents' | 'mist' | 'yesterday'
>;

const DAY_MS = 86_400_000;
const READ = ['air/temperature', 'air/humidity', 'root/temperature', 'heat/power'] as const;

/** What the climate of a place did in a night, besides its exposures. */
export function climateFacts(place: Place, span: Span, context: QueryContext): ClimateFacts {
  const records = recordsOf(place, span, READ, context);
  const { settings } = place;
  const curve = (name: Parameters<typeof curveOf>[0]) => curveOf(name, { records, settings }).segments;
  return {
    highestAir: view(extremeOf(curve('airTemperatureC'), span, 'highest')),
    lowestRootZone: view(extremeOf(curve('rootZoneTemperatureC'), span, 'lowest')),
    highestVpd: view(extremeOf(curve('airVpdKpa'), span, 'highest')),
    mat: settings.mat,
    matOnHours: records['heat/power'] ? hoursOn(curve('heatPowerW'), span) : null,
    vents: ventFacts(place, span, context),
    mist: mistFacts(place, span, context),
    yesterday: yesterdayFacts(place, span, context),
  };
}

function view(extreme: Extreme | null): PlaceFacts['highestAir'] {
  return extreme && { value: extreme.value, at: new Date(extreme.atMs).toISOString() };
}

/** Less power is that of a controller alone, W. Common practice, no source. */
const LEAST_POWER_W = 1;

function hoursOn(power: ReturnType<typeof curveOf>['segments'], span: Span): number | null {
  if (power.count === 0) return null;
  const on = thresholdSpans(power, LEAST_POWER_W, span).filter(({ above }) => above);
  return on.reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0) / MS_PER_HOUR;
}

function ventFacts(place: Place, { toMs }: Span, context: QueryContext): PlaceFacts['vents'] {
  const { vents, ...answer } = ventsIn(place, { fromMs: toMs - VENTS_OVER_MS, toMs }, context);
  const last = vents.at(-1);
  return {
    last: last ? { from: last.from, to: last.to, how: last.how, humidityBack: last.humidityBack } : null,
    reliable: answer.reliable,
    reason: answer.reason,
    hoursSinceVent: answer.hoursSinceVent,
    hoursSaturatedSinceVent: answer.hoursSaturatedSinceVent,
  };
}

function mistFacts(place: Place, { toMs }: Span, context: QueryContext): PlaceFacts['mist'] {
  const mist = mistOf(place, { fromMs: toMs - MIST_OVER_MS, toMs }, context);
  const { how, pulses, missed, coveredHours, reliable, reason } = mist;
  const { pulsesPerHourInLight: inLight, pulsesPerHourInDark: inDark } = mist;
  return { how, pulses, inLight, inDark, missed, coveredHours, reliable, reason };
}

function yesterdayFacts(place: Place, { toMs }: Span, context: QueryContext): PlaceFacts['yesterday'] {
  const day = dayBefore(toMs, context.timeZone);
  const exposures = exposuresOver(place, day, { ...context, nowMs: context.clock.nowMs() });
  return {
    from: new Date(day.fromMs).toISOString(),
    to: new Date(day.toMs).toISOString(),
    light: lightFacts(place, { day, exposures }, context),
    daylightVpd: exposures.daylightVpd,
  };
}

type DayCounted = { readonly day: LocalDay; readonly exposures: ReturnType<typeof exposuresOver> };

function lightFacts(
  place: Place,
  { day, exposures }: DayCounted,
  context: QueryContext,
): PlaceFacts['yesterday']['light'] {
  const measured = measuredAt(place, context);
  if (!measured['light/ppfd'] && !measured['light/illuminance']) return null;
  const records = recordsOf(place, day, ['light/ppfd', 'light/illuminance'], context);
  const { segments } = curveOf('ppfdUmolM2S', { records, settings: place.settings });
  const [counted] = exposures.light.days;
  const { light } = context.world.targets(place.id, day.toMs - 1);
  return {
    dliMolM2: counted?.dliMolM2 ?? 0,
    coveredHours: counted?.coveredHours ?? 0,
    peak: view(extremeOf(segments, day, 'highest')),
    wanted: light ? { lowMol: light.dailyLowMol, highMol: light.dailyHighMol } : null,
  };
}

/** The local day before the one in which a night ends. */
function dayBefore(toMs: number, zone: string): LocalDay {
  const days = localDays({ fromMs: toMs - 2 * DAY_MS, toMs, zone });
  const day = days.at(-2);
  if (!day) throw new RangeError(`no day lies before ${toMs}`);
  return day;
}
