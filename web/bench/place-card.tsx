import { useMemo } from 'preact/hooks';
import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { RULES } from '../../shared/rules/rules.ts';
import type { BandState, PlaceSummary } from '../../shared/wire/http.ts';
import { minutesLeftWords, saturatedWords } from '../../shared/words/lately.ts';
import { AlarmBlock } from '../alarms/alarm-block.tsx';
import { isReturned, isShelved } from '../alarms/alarms.ts';
import { Ask } from '../common/ask.tsx';
import { degreeHoursText, degreeSign, temperatureText, vpdText } from '../common/format.ts';
import { clockTicks, weekday } from '../common/time.ts';
import { useMarks } from '../diary/diary-api.ts';
import type { Mark } from '../diary/marks.ts';
import { placeHref } from '../frame/route.ts';
import { spanOf } from '../record/span-table.tsx';
import { alarms as allAlarms, nowMs, reader, traces } from '../state.ts';
import { Foot } from './foot.tsx';
import { alarmsOfPlace, isKeptDamp } from './rank.ts';
import {
  baseAgainstAir,
  cardSentence,
  harmedSentence,
  type LayerFacts,
  type LayerWords,
  layerWords,
} from './sentence.ts';
import { deviationOf, type Layer, limitsAt, limitsOf } from './trace.ts';
import { Surface, TracePlot } from './trace-plot.tsx';
import { DAY_MS, LAYER_SERIES } from './traces.ts';

const LAYERS = ['air', 'vpd', 'rootZone'] as const;
const TEST_IDS: Readonly<Record<Layer, string>> = {
  air: 'value-air',
  vpd: 'value-vpd',
  rootZone: 'value-root',
};
const NAMES: Readonly<Record<Layer, string>> = { air: 'air', vpd: 'leaf', rootZone: 'root zone' };

function sinceOverMs(alarms: readonly Alarm[]): number | null {
  const over = alarms.find(({ rule, facts }) => RULES[rule].group === 'heat' && facts && 'sinceMs' in facts);
  return over?.facts && 'sinceMs' in over.facts ? over.facts.sinceMs : null;
}

function useFacts(place: PlaceSummary, alarms: readonly Alarm[]): Record<Layer, LayerFacts> {
  const kept = traces.value[place.id];
  const current = place.now.quantities;
  const overSinceMs = sinceOverMs(alarms);
  const facts = (layer: Layer): LayerFacts => {
    const value = current[LAYER_SERIES[layer]] ?? null;
    const limits = limitsOf(kept?.bands ?? [], layer);
    return {
      layer,
      current: value,
      leaf: layer === 'vpd' ? (current.leafVpdKpa ?? null) : null,
      keptDamp: isKeptDamp(place),
      limits: limitsAt(limits, nowMs.value),
      deviation: deviationOf(kept?.traces[layer] ?? [], limits, place.settings.maxGapMs),
      overSinceMs: layer === 'air' ? overSinceMs : null,
    };
  };
  return useMemo(
    () => ({ air: facts('air'), vpd: facts('vpd'), rootZone: facts('rootZone') }),
    [kept, place.now, place.settings.maxGapMs, overSinceMs, nowMs.value],
  );
}

function restOfRootZone(place: PlaceSummary, words: LayerWords): string[] {
  const { rootZoneTemperatureC, airTemperatureC } = place.now.quantities;
  const { unit } = reader.value;
  const against = baseAgainstAir(rootZoneTemperatureC ?? null, airTemperatureC ?? null, unit);
  return [...words.rest, against].filter((text) => text !== null);
}

/** What the root zone lost below its band in a day, where that is worth a word. */
function LostBelow({ place }: { place: PlaceSummary }) {
  const day = traces.value[place.id]?.exposures;
  if (!day || day.rootZone.degreeHoursBelow < 0.1) return null;
  return (
    <>
      {' · '}
      <Ask placeId={place.id} of="exposures.rootZone.degreeHoursBelow" span={spanOf(day)}>
        {degreeHoursText(day.rootZone.degreeHoursBelow, reader.value.unit)}
      </Ask>
      {' below in 24 h'}
    </>
  );
}

function LayerLine({
  place,
  facts,
  format,
}: {
  place: PlaceSummary;
  facts: LayerFacts;
  format: (v: number) => string;
}) {
  const { layer, current } = facts;
  const text = (
    <>
      <span data-testid={TEST_IDS[layer]}>{current ? format(current.value) : '–'}</span>{' '}
      <small>{layer === 'vpd' ? 'kPa' : degreeSign(reader.value.unit)}</small>
    </>
  );
  if (!current) return text;
  return (
    <Ask placeId={place.id} of={`now.${LAYER_SERIES[layer]}`}>
      {text}
    </Ask>
  );
}

type RowProps = {
  readonly place: PlaceSummary;
  readonly facts: LayerFacts;
  readonly heightPx: number;
  readonly marks: readonly Mark[];
};

function LayerRow({ place, facts, heightPx, marks }: RowProps) {
  const { layer } = facts;
  const { unit, timeZone } = reader.value;
  const kept = traces.value[place.id];
  const view = { fromMs: nowMs.value - DAY_MS, toMs: nowMs.value };
  const words = layerWords(facts, reader.value);
  const format = layer === 'vpd' ? vpdText : (value: number) => temperatureText(value, unit);
  const rest = layer === 'rootZone' ? restOfRootZone(place, words) : words.rest;
  const limits = useMemo(() => limitsOf(kept?.bands ?? [], layer), [kept?.bands, layer]);
  const ticks = useMemo(() => ticksOf(view, timeZone), [view.fromMs, timeZone]);
  return (
    <div class={`layer ${layer}`}>
      <div class="told">
        <h3>{NAMES[layer]}</h3>
        <p class={`number ${words.tone}`}>
          <LayerLine place={place} facts={facts} format={format} />
        </p>
        <p class="words">
          <span class={words.tone}>{words.lead}</span>
          {rest.map((text) => ` · ${text}`)}
          {layer === 'rootZone' && <LostBelow place={place} />}
        </p>
      </div>
      {kept?.phase === 'failed' ? (
        <p class="trace missing">The record cannot be fetched now; trying again.</p>
      ) : (
        <TracePlot
          name={NAMES[layer]}
          trace={kept?.traces[layer] ?? []}
          limits={limits}
          view={view}
          ticks={ticks}
          maxGapMs={place.settings.maxGapMs}
          leastRange={layer === 'vpd' ? 0.3 : 4}
          heightPx={heightPx}
          format={format}
          marks={marks}
        />
      )}
    </div>
  );
}

function ticksOf(view: { fromMs: number; toMs: number }, timeZone: string) {
  return clockTicks({ ...view, timeZone, everyHours: 6 }).map((tick) =>
    tick.midnight ? { ...tick, label: `${weekday({ atMs: tick.atMs, timeZone })} 00` } : tick,
  );
}

/** How heavily a place is marked in the margin. */
export function weightOf(alarms: readonly Alarm[], { now }: PlaceSummary): 'block' | 'bar' | 'line' {
  if (alarms.some((alarm) => alarm.state === 'unacknowledged' && !isShelved(alarm, nowMs.value)))
    return 'block';
  return alarms.length > 0 || now.state !== 'ok' ? 'bar' : 'line';
}

const OUT: readonly BandState[] = ['over-ceiling', 'above', 'below'];

/** Over a ceiling first; air that is damp below a cover is out of its band too, and matters last. */
const BY_WEIGHT = ['air', 'rootZone', 'vpd'] as const;

/** The layer of a place that is furthest out of its band, with its last day; the air where none is. */
export function WorstLayer({ place }: { place: PlaceSummary }) {
  const facts = useFacts(place, alarmsOfPlace(allAlarms.value, place.id, nowMs.value));
  const first = (states: readonly BandState[]) =>
    BY_WEIGHT.find((layer) => states.includes(facts[layer].current?.state ?? 'within'));
  const worst = facts[first(['over-ceiling']) ?? first(OUT) ?? 'air'];
  return <LayerRow place={place} facts={worst} heightPx={64} marks={NO_MARKS} />;
}

const RENEW_MS = 60_000;

/** The last day to the minute that has begun: what people wrote down is asked for once a minute. */
function lastDay(atMs: number) {
  const toMs = (Math.floor(atMs / RENEW_MS) + 1) * RENEW_MS;
  return { fromMs: toMs - DAY_MS, toMs };
}

type CardProps = {
  readonly place: PlaceSummary;
  /** on its own page */
  readonly large?: boolean;
  /** there is no other */
  readonly lone?: boolean;
};

/** A place as the section through its bench: air above, leaf in the middle, root zone below. */
export function PlaceCard({ place, large = false, lone = false }: CardProps) {
  if (large) return <MarkedCard place={place} lone={lone} />;
  return <Card place={place} large={false} lone={lone} marks={NO_MARKS} />;
}

const NO_MARKS: readonly Mark[] = [];

/** With what people wrote down of the last day. */
function MarkedCard({ place, lone }: Required<Omit<CardProps, 'large'>>) {
  return <Card place={place} large lone={lone} marks={useMarks(place.id, lastDay(nowMs.value))} />;
}

function Card({ place, large, lone, marks }: Required<CardProps> & { readonly marks: readonly Mark[] }) {
  const alarms = alarmsOfPlace(allAlarms.value, place.id, nowMs.value);
  const facts = useFacts(place, alarms);
  const layers = LAYERS.map((layer) => facts[layer]);
  const left = minutesLeftWords(place.now);
  const harmed = alarms.every(isReturned) ? harmedSentence(place.now, reader.value) : null;
  const heightPx = lone ? 130 : large ? 100 : 72;
  const day = traces.value[place.id]?.exposures ?? null;
  const view = { fromMs: nowMs.value - DAY_MS, toMs: nowMs.value };
  const kind = [place.kind === 'unstated' ? null : place.kind, place.invented ? 'invented' : null];
  return (
    <article
      class={`place-card ${weightOf(alarms, place)}${large ? ' large' : ''}`}
      data-testid="place-card"
      data-place={place.id}
    >
      <header class="who">
        <h2>{large ? place.name : <a href={placeHref(place.id)}>{place.name}</a>}</h2>
        <p>{kind.filter(Boolean).join(' · ')}</p>
      </header>
      {alarms.map((alarm) => (
        <AlarmBlock key={alarm.id} alarm={alarm} />
      ))}
      {alarms.length === 0 && (
        <p class="say">
          {cardSentence(layers, { day, now: place.now, saturated: saturatedWords(place) }, reader.value)}
        </p>
      )}
      {alarms.length > 0 && harmed && <p class="say">{harmed}</p>}
      {left && <p class="say">{left}</p>}
      {place.settings.questionsOpen && !large && (
        <p class="set-up-lead">
          <a href={placeHref(place.id)}>Three questions about this place</a> wait for an answer: what it is,
          whether it has a mat, what roots.
        </p>
      )}
      <LayerRow place={place} facts={facts.air} heightPx={heightPx} marks={marks} />
      <LayerRow place={place} facts={facts.vpd} heightPx={heightPx} marks={marks} />
      <Surface view={view} ticks={ticksOf(view, reader.value.timeZone)} />
      <LayerRow place={place} facts={facts.rootZone} heightPx={heightPx} marks={marks} />
      <Foot place={place} exposures={day} alarms={alarms} />
    </article>
  );
}
